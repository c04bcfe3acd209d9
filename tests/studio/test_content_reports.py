"""Reports of what browsers blocked: counted without who and where from, and never more than a little."""

import json
import re
from datetime import timedelta
from pathlib import Path

import pytest
from django.utils import timezone

from repertoire.notation.draw.engraving import engrave
from repertoire.notation.read.reading import read_score
from studio.models import BlockedContent, blocked_content
from studio.tasks import forget_events
from tests.conftest import tune

ROOT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.django_db


def send(client, **told):
    report = {
        "document-uri": "https://hear.example/students/7/?who=mira",
        "violated-directive": "style-src-attr",
    }
    body = json.dumps({"csp-report": {**report, "blocked-uri": "inline", **told}})
    return client.post("/content-reports/", body, content_type="application/csp-report")


def test_the_same_is_one_row_without_numbers_of_people(client, studio):
    for number in (7, 8):
        assert send(client, **{"document-uri": f"https://hear.example/students/{number}/"}).status_code == 204
    row = BlockedContent.objects.get()
    assert (row.directive, row.what, row.page, row.number) == ("style-src-attr", "inline", "student_page", 2)
    assert client.get("/healthz").json()["content_blocked"] == 2


@pytest.mark.parametrize(
    ("told", "what"),
    [("https://evil.example/x.js?mira", "https"), ("chrome-extension://abc", "other"), ("data", "data")],
)
def test_of_an_address_only_its_kind_is_kept(client, studio, told, what):
    send(client, **{"blocked-uri": told})
    assert BlockedContent.objects.get().what == what


@pytest.mark.parametrize(
    "body",
    [
        *("", "[]", "{}", "{", "[" * 8000, '{"csp-report": []}'),
        '{"csp-report": {"violated-directive": "my-own x"}}',
    ],
)
def test_what_is_no_report_is_passed_over(client, studio, body):
    assert client.post("/content-reports/", body, content_type="text/plain").status_code == 204
    assert not BlockedContent.objects.exists()


def test_a_flood_writes_little(client, studio, monkeypatch):
    monkeypatch.setattr(blocked_content, "MOST_ROWS_A_DAY", 2)
    monkeypatch.setattr(blocked_content, "MOST_A_DAY", 3)
    for directive in ("style-src", "img-src", "media-src", "font-src"):
        for _again in range(5):
            send(client, **{"violated-directive": directive})
    assert [row.number for row in BlockedContent.objects.all()] == [3, 3]
    assert send(client, filler="x" * 9000).status_code == 413


def test_it_goes_after_a_month(client, studio):
    send(client)
    BlockedContent.objects.update(day=timezone.localdate() - timedelta(days=31))
    forget_events()
    assert not BlockedContent.objects.exists()


def test_nothing_we_write_carries_a_style_of_its_own():
    templates = [
        path for room in ("studio", "repertoire", "recordings") for path in (ROOT / room).rglob("*.html")
    ]
    written = {path: path.read_text(encoding="utf-8") for path in templates}
    assert not [path.name for path, text in written.items() if re.search(r"<style|\sstyle=", text)]
    scores = (ROOT / "fixtures" / "scores").glob("*.musicxml")
    drawn = [read_score(path.read_bytes(), filename=path.name).musicxml for path in scores]
    for music in (*drawn, tune().musicxml):
        assert not re.search(r"<style|\sstyle=", engrave(music, width_px=800))
