"""Every page of the demo in German: what stays English there is what the studio's people wrote."""

import re
from html.parser import HTMLParser

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import connection, transaction
from django.test import Client

from studio.models import User
from tests.browser.demo_pages import PAGES

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.slow,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="numbers are reset in SQLite's own way"),
]
ENGLISH = re.compile(r"(the|and|of|is|are|to|not|this|your|for|with|by|from|no|what|it)", re.IGNORECASE)
READ_OUT = ("aria-label", "title", "placeholder", "alt")
THE_SAME_IN_BOTH = ("60, rit., a tempo",)


class Texts(HTMLParser):
    """What a person reads or hears of a page, and what its scripts are given to say."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self.inside_code = 0
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.inside_code += tag in ("script", "style", "svg")
        self.found += [value or "" for name, value in attrs if name in READ_OUT or name.startswith("data-")]

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


@pytest.mark.parametrize("role", PAGES)
def test_no_page_keeps_a_sentence_of_ours_in_english(role, demo, written):
    User.objects.filter(email__endswith="@demo.example").update(language="de")
    user = User.objects.filter(email=f"{role}@demo.example").first()
    client = Client(headers={"accept-language": "de"})
    if user:
        client.force_login(user)
    left = set()
    for page in PAGES[role]:
        html = client.get(page).content.decode()
        assert 'lang="de"' in html, page
        for text in map(plain, Texts(html).found):
            pieces = [piece for piece in re.split(r" · |, |,$|: |“|”|„", text) if ENGLISH.search(piece)]
            if text not in THE_SAME_IN_BOTH and any(piece not in written for piece in pieces):
                left.add((page, text[:120]))
    assert not left
