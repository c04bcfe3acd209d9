"""The page that shows every component: there for who changes the look, and for nobody else."""

import re

import pytest

from tests.running import ROOT

pytestmark = pytest.mark.django_db
CSS = ROOT / "studio" / "static" / "studio" / "components.css"
# What stands in the head and foot of every page, what belongs to one page's words, and what only hides.
SHOWN_BY_EVERY_PAGE = {"top", "name", "rooms", "own", "you", "menu", "foot", "invented", "skip"}
LAYOUT = {"wide", "narrow", "spread", "end", "visually-hidden", "state", "code-picture", "help", "error"}


def test_there_is_no_such_page_without_debug(client, director):
    client.force_login(director)
    assert client.get("/components/").status_code == 404


def test_it_shows_every_component(client, settings, studio):
    settings.DEBUG = True
    page = client.get("/components/")
    assert page.status_code == 200
    shown = {
        name for names in re.findall(r'class="([^"]+)"', page.content.decode()) for name in names.split()
    }
    text = re.sub(r"/\*.*?\*/|\{[^{}]*\}", "{}", CSS.read_text(encoding="utf-8"), flags=re.DOTALL)
    styled = set(re.findall(r"\.([a-z][a-z-]*)", text))
    assert styled - SHOWN_BY_EVERY_PAGE - LAYOUT <= shown
    assert "errorlist" in shown
