"""The privacy page: for everybody, true to the settings, in the director's words once there are some."""

import pytest

from recordings.leaving.privacy import draft
from studio.models import Event, Season, Studio

pytestmark = pytest.mark.django_db


def test_it_is_linked_before_anybody_signs_in(client, studio):
    assert 'href="/privacy/"' in client.get("/accounts/login/").text
    assert studio.name in client.get("/privacy/").text


def test_the_draft_follows_the_settings(studio, season):
    assert "180 days after the season ends" in draft(studio)
    assert "ask the studio for how long" in draft(studio)
    Season.objects.update(keep_takes_days=30)
    Studio.objects.update(backups_kept_days=14)
    studio.refresh_from_db()
    assert "30 days after the season ends" in draft(studio)
    assert "gone 14 days after" in draft(studio)


def test_the_directors_words_take_its_place_and_can_go_again(client, director, as_user):
    browser = as_user(director)
    assert "What is kept, and why" in browser.get("/studio/privacy/").text
    browser.post("/studio/privacy/", {"text": "# Our word\n\nWe keep <b>little</b>."})
    page = client.get("/privacy/").text
    assert "<h2>Our word</h2>" in page
    assert "&lt;b&gt;little" in page
    assert "What is kept, and why" not in page
    assert Event.objects.filter(kind=Event.Kind.SETTINGS, by_number=director.pk).exists()
    browser.post("/studio/privacy/", {"draft": "yes"})
    assert "What is kept, and why" in client.get("/privacy/").text
