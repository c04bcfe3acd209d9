"""Every text has its German, the compiled catalogues are those of their sources, and no place is lost."""

import re
import shutil
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

import polib
import pytest
from django.template import Context, Template
from django.utils import translation
from django.utils.formats import date_format

from recordings.analysis import sentences
from repertoire.notation.instruments import INSTRUMENTS
from repertoire.notation.sentence import PitchName
from repertoire.wording.instruments import NAMES
from repertoire.wording.words import words

ROOT = Path(__file__).resolve().parents[1]
ROOMS = ("studio", "recordings", "repertoire")
PLACES = re.compile(r"%\(\w+\)[sd]|\{\w+[^}]*\}|%[sd]")
# What of a template nobody reads, or what is marked; taken out, no word of ours may be left.
MARKED = re.compile(r"{%\s*blocktrans(?:late)?\b.*?{%\s*endblocktrans(?:late)?\s*%}", re.DOTALL)
UNREAD = re.compile(
    r"{%\s*block \w+_class\s*%}[\w ]*(?={%)|{%\s*comment.*?endcomment\s*%}|<!--.*?-->"
    r"|<(script|style|svg)\b.*?</\1>|{#.*?#}|{%.*?%}|{{.*?}}|&\w+;",
    re.DOTALL,
)
READ_OUT = re.compile(r'\b(?:aria-label|title|placeholder|alt)="([^"]*)"')
# The page of a server's fault speaks both languages by itself; the sheet of components shows invented people.
NOT_TRANSLATED = {"500.html", "components.html"}
ALIKE = {"SHA-256"}
MAKE = [sys.executable, "manage.py", "makemessages", "-l", "de", "--no-location", "--no-obsolete"]


def catalogue(room: str, root: Path = ROOT) -> polib.POFile:
    return polib.pofile(str(root / room / "locale/de/LC_MESSAGES/django.po"))


@pytest.mark.skipif(not shutil.which("xgettext"), reason="needs gettext's tools")
def test_no_text_of_the_program_lacks_its_german(tmp_path):
    files = subprocess.check_output(["git", "ls-files", *ROOMS, "manage.py"], cwd=ROOT, text=True)
    for name in files.splitlines():
        if Path(name).suffix in {".py", ".html", ".txt", ".po", ".toml", ".json"} and (ROOT / name).exists():
            (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(ROOT / name, tmp_path / name)
    subprocess.run([*MAKE, "-i", "manage.py"], cwd=tmp_path, check=True, capture_output=True)
    for room in ROOMS:
        missing = [entry.msgid for entry in catalogue(room, tmp_path) if not entry.translated()]
        assert not missing, f"{room}: {missing}"


def unmarked(path: Path) -> list[str]:
    text = UNREAD.sub(" ", MARKED.sub(" ", path.read_text(encoding="utf-8")))
    read_out = READ_OUT.findall(text)
    if path.suffix == ".html":
        text = re.sub(r"<[^>]*>", "\n", text)
    pieces = [piece.strip(" ·,") for piece in (*read_out, *text.splitlines())]
    return [piece for piece in pieces if re.search(r"[^\W\d_]{2,}", piece) and piece not in ALIKE]


def test_no_template_has_a_text_that_cannot_be_translated():
    """Of pages in any state, mails and prints alike: what stands in a template is marked."""
    paths = [path for room in ROOMS for path in (ROOT / room / "templates").rglob("*") if path.is_file()]
    left = {path.name: unmarked(path) for path in paths if path.name not in NOT_TRANSLATED}
    assert len(paths) > 100
    assert not {name: texts for name, texts in left.items() if texts}


@pytest.mark.parametrize("room", ROOMS)
def test_the_compiled_catalogue_is_that_of_its_source(room):
    compiled = polib.mofile(str(ROOT / room / "locale/de/LC_MESSAGES/django.mo"))

    def texts(entries):
        return {(e.msgctxt, e.msgid): (e.msgstr, tuple(e.msgstr_plural.values())) for e in entries}

    assert texts(compiled) == texts(catalogue(room).translated_entries())


@pytest.mark.parametrize("room", ROOMS)
def test_every_place_of_a_text_is_in_its_german(room):
    for entry in catalogue(room):
        asked = set(PLACES.findall(f"{entry.msgid} {entry.msgid_plural}".replace(":small", "")))
        german = " ".join([entry.msgstr, *entry.msgstr_plural.values()]).replace(":small", "")
        assert set(PLACES.findall(german)) == asked, entry.msgid


def test_the_catalogue_names_every_instrument():
    assert {instrument.name for instrument in INSTRUMENTS.values()} == set(NAMES)


def test_notes_numbers_and_lists_follow_german_custom():
    flat = sentences.FIND_WRONG(
        place=sentences.BAR_SINGLE(bar="3"), printed=PitchName("B", 0), heard=PitchName("B", -1)
    )
    habit = sentences.FIND_PITCH_ALL_LOW(
        place=sentences.BAR_LIST(bars=("3", "7", "9")),
        notes=sentences.SEVERAL(note=PitchName("F", 1)),
        cents=20,
        count=6,
    )
    stop = sentences.FIND_HESITATION(place=sentences.BAR_RANGE(first="3", last="4"), seconds=0.9)
    with translation.override("de"):
        assert words(flat) == "Takt 3: Das H klingt als B."
        assert words(habit) == "Takt 3, 7 und 9: Die Fis liegen etwa 20 Cent zu tief, alle 6."
        assert words(stop) == "Takt 3 bis 4: ein Zögern von etwa 0,9 Sekunden."


def test_a_date_is_written_by_german_custom(season):
    with translation.override("de"):
        day = season.ends_on.replace(year=2027, month=3, day=4)
        assert date_format(day, translation.gettext("j F Y")) == "4. März 2027"


def test_a_mark_is_read_with_the_comma_and_typed_with_the_point():
    page = Template("{% load review_words %}{{ mark|plain_mark }} {{ mark|typed_mark }}")
    with translation.override("de"):
        assert page.render(Context({"mark": Decimal("7.50")})) == "7,5 7.5"
        assert page.render(Context({"mark": Decimal("10.0")})) == "10 10"


@pytest.mark.parametrize("room", ROOMS)
def test_german_has_one_voice(room):
    """Everybody is told "du", as people in a studio speak with each other."""
    formal = re.compile(r"(?<=[a-zäöüß,] )(Sie|Ihnen|Ihre?[mnrs]?)\b|\w+en Sie\b")
    texts = {e.msgid: " ".join([e.msgstr, *e.msgstr_plural.values()]) for e in catalogue(room)}
    assert not {msgid: text for msgid, text in texts.items() if formal.search(text)}


@pytest.mark.parametrize("room", ROOMS)
def test_what_is_shown_is_this_rooms_german(room):
    """A text that another part of the program has too has the same German there."""
    with translation.override("de"):
        shown = {
            (e.msgctxt, e.msgid): translation.pgettext(e.msgctxt, e.msgid)
            if e.msgctxt
            else translation.gettext(e.msgid)
            for e in catalogue(room)
            if not e.msgid_plural
        }
    own = {(e.msgctxt, e.msgid): e.msgstr for e in catalogue(room) if not e.msgid_plural}
    assert shown == own
