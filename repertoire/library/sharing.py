"""Music with its notes and marking form as one folder in a zip, for another studio.

The folder holds `score.musicxml`, `excerpt.json`, `bar-notes.json` and, by choice, `marking-form.json`; every
field is explained in DEVELOPERS.md. It never holds anything about students, and authors only by choice.
"""

import io
import json
import zipfile

from django.utils.text import slugify

from repertoire.models import BarNote, Caption, Excerpt, Rubric
from repertoire.notation.numerals import plain_number
from repertoire.notation.order.forms import describe

VERSION = 1
SCORE, ABOUT, NOTES, RUBRIC = "score.musicxml", "excerpt.json", "bar-notes.json", "marking-form.json"
EXCERPT_FIELDS = (
    "title", "composer", "source", "instrument", "kind", "marked_bpm", "beat_unit", "temperament"
)  # fmt: skip
NOTE_FIELDS = ("kind", "from_bar", "to_bar", "note_id", "text")
RUBRIC_FIELDS = ("name", "serves", "notes")
CAPTION_FIELDS = ("name", "low", "high", "step", "weight", "measured", "descriptors")


def folder_name(excerpt: Excerpt) -> str:
    return slugify(excerpt.title) or f"music-{excerpt.pk}"


def shared_zip(excerpt: Excerpt, *, rubric: Rubric | None = None, with_authors: bool = False) -> bytes:
    """The folder as bytes; the same content gives the same bytes."""
    files = {
        SCORE: excerpt.musicxml,
        ABOUT: _json(about(excerpt)),
        NOTES: _json(notes(excerpt, with_authors=with_authors)),
    }
    if rubric is not None:
        files[RUBRIC] = _json(rubric_document(rubric))
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in files.items():
            member = zipfile.ZipInfo(f"{folder_name(excerpt)}/{name}")
            member.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(member, text.encode())
    return written.getvalue()


def about(excerpt: Excerpt) -> dict:
    return {
        "version": VERSION,
        **_plain(excerpt, EXCERPT_FIELDS),
        "forms": {
            "as_printed": describe(excerpt.form()),
            "without_repeats": describe(excerpt.form(with_repeats=False)),
        },
    }


def notes(excerpt: Excerpt, *, with_authors: bool) -> dict:
    kept = excerpt.bar_notes.select_related("author").in_print_order(excerpt.score)
    lines = [_plain(note, NOTE_FIELDS) for note in kept]
    if with_authors:
        for line, note in zip(lines, kept, strict=True):
            line["author"] = note.author.name if note.author else ""
    return {"version": VERSION, "notes": lines}


def rubric_document(rubric: Rubric) -> dict:
    captions = [_plain(caption, CAPTION_FIELDS) for caption in rubric.captions.all()]
    return {"version": VERSION, **_plain(rubric, RUBRIC_FIELDS), "captions": captions}


def same_rubric(document: dict) -> Rubric | None:
    """A form of this studio that says the same, so that taking it twice makes one."""
    wanted = {key: value for key, value in document.items() if key != "version"}
    for rubric in Rubric.objects.current().filter(name=document["name"]).prefetch_related("captions"):
        here = rubric_document(rubric)
        del here["version"]
        if here == wanted:
            return rubric
    return None


def _plain(row: Excerpt | BarNote | Rubric | Caption, fields: tuple[str, ...]) -> dict:
    """Decimals as text without needless noughts, everything else as it is kept."""
    return {name: _value(getattr(row, name)) for name in fields}


def _value(value):
    return value if isinstance(value, str) else plain_number(value)


def _json(document: dict) -> str:
    return json.dumps(document, ensure_ascii=False, indent=2) + "\n"
