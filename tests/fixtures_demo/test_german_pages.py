"""Every page of the demo in German: what stays English there is what the studio's people wrote."""

import re
import zoneinfo
from html.parser import HTMLParser

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import connection, transaction
from django.test import Client
from django.utils.translation import trans_real

from studio.models import User
from tests.browser.demo_pages import PAGES

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.slow,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="numbers are reset in SQLite's own way"),
]
READ_OUT = ("aria-label", "title", "placeholder", "alt")
TRANSLATED = re.compile(r"⟦[^⟦⟧]*⟧")
APART = re.compile(r"\n|[,;:] | · |[()„“”]")
MARK = re.compile(r" [\d,]+$")
WORD = re.compile(r"[^\W\d_]{2,}")
# Written alike everywhere: languages in their own words, formats, numerals, zones.
ALIKE = {"Deutsch", "English", "AAC", "AIFF", "FLAC", "MP3", "MP4", "Ogg", "WAV", "WebM"}
ALIKE |= {"II", "III", "IV", "VI", "VII", "VIII", "IX", "XI"} | zoneinfo.available_timezones()


def is_read(name: str, value: str) -> bool:
    """What scripts are given to say has a space; what else they are given are names and addresses."""
    return name in READ_OUT or (name.startswith("data-") and " " in value)


class Texts(HTMLParser):
    """What a person reads or hears of a page, and what its scripts are given to say."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.inside_code = 0
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.inside_code += tag in ("script", "style", "svg")
        self.found += [value for name, value in attrs if value and is_read(name, value)]

    def handle_endtag(self, tag):
        self.inside_code -= tag in ("script", "style", "svg")

    def handle_data(self, data):
        if not self.inside_code:
            self.found.append(data)


def plain(text: str) -> str:
    return " ".join(text.split())


def _count_from_one() -> None:
    """The demo's pages are named by their first numbers, which earlier tests may have used up."""
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM sqlite_sequence")


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock(), transaction.atomic():
        _count_from_one()
        call_command("load_demo", verbosity=0)
        yield
        transaction.set_rollback(True)


def names_of(model) -> list[str]:
    return [field.name for field in model._meta.concrete_fields if field.name != "result"]


@pytest.fixture(scope="module")
def written(demo) -> str:
    """Every text that is stored: what people and the demo's music say."""
    rows = [
        str(value)
        for room in ("studio", "repertoire", "recordings")
        for model in apps.get_app_config(room).get_models()
        for row in model.objects.values_list(*names_of(model))
        for value in row
    ]
    return plain("\n".join(rows))


@pytest.fixture
def bracketed(monkeypatch):
    """Every text that went through the catalogue stands in ⟦brackets⟧, so that what did not is seen."""
    catalogues = trans_real.translation("de")._catalog._catalogs
    for catalogue in catalogues:
        for key, german in list(catalogue.items()):
            if key and german:
                monkeypatch.setitem(catalogue, key, f"⟦{german}⟧")


def outside_brackets(pieces: list[str]) -> list[str]:
    text = "\n".join(pieces)
    while TRANSLATED.search(text):
        text = TRANSLATED.sub(" ", text)
    return [plain(piece) for piece in APART.split(text) if WORD.search(piece)]


@pytest.mark.parametrize("role", PAGES)
def test_every_text_of_ours_on_a_page_can_be_translated(role, demo, written, bracketed):
    User.objects.filter(email__endswith="@demo.example").update(language="de")
    user = User.objects.filter(email=f"{role}@demo.example").first()
    client = Client(headers={"accept-language": "de"})
    if user:
        client.force_login(user)
    left = set()
    for page in PAGES[role]:
        html = client.get(page).content.decode()
        assert 'lang="de"' in html, page
        ours = {MARK.sub("", text) for text in outside_brackets(Texts(html).found)} - ALIKE
        left |= {(page, text) for text in ours if text not in written}
    assert not left
