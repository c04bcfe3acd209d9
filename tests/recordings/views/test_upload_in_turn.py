"""Pieces of an upload where many come in at once: refused for now, and taken when they come again."""

import contextlib

import pytest

from recordings.models import Take
from recordings.upload import at_once, probe
from repertoire.notation.slots import place

pytestmark = pytest.mark.django_db


def test_a_piece_beside_many_of_the_same_person_comes_again_by_itself(sender, content, student_user):
    sender.begin()
    with contextlib.ExitStack() as side_by_side:
        for _ in range(at_once.OF_ONE_PERSON):
            side_by_side.enter_context(at_once.coming_in(student_user))
        refused = sender.patch(0, 1000)
        assert refused.status_code == 503
        assert int(refused.headers["Retry-After"])
    assert sender.head().headers["Upload-Offset"] == "0"
    assert sender.patch(0, len(content)).status_code == 204


def test_a_whole_upload_that_cannot_be_looked_at_yet_is_asked_for_again(
    sender, content, monkeypatch, settings
):
    sender.begin()
    monkeypatch.setattr(probe, "WAIT_FOR_A_LOOK_S", 0)
    with contextlib.ExitStack() as looking:
        for _ in range(probe.LOOKS_AT_ONCE):
            looking.enter_context(place(settings.DATA_DIR / "at-once", "look", places=probe.LOOKS_AT_ONCE))
        assert sender.patch(0, len(content)).status_code == 503
    assert not Take.objects.exists()
    assert sender.patch(len(content), len(content)).status_code == 204
    assert Take.objects.get().sound.read() == content
