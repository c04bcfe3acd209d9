"""A take measured before its music was corrected is shown as it was then, and can be measured again."""

from datetime import timedelta

import pytest
from django.core.files.base import ContentFile
from django.urls import reverse
from django.utils import timezone

from recordings.models import Analysis, Review, Take
from recordings.takes.measure_again import measure_outdated_again, outdated_count, shown_as_measured
from repertoire.library.correction import correct
from repertoire.notation.read.reading import read_score
from tests.conftest import tune_musicxml

pytestmark = pytest.mark.django_db


@pytest.fixture
def take(entry, requirement, student_user):
    take = Take.objects.create(
        entry=entry,
        requirement=requirement,
        uploaded_by=student_user,
        sound=ContentFile(b"sound", name="take"),
        sha256="0" * 64,
        size=5,
        media_type="audio/flac",
    )
    Analysis.objects.create(
        take=take,
        state=Analysis.State.DONE,
        finished_at=timezone.now() - timedelta(days=1),
        score_hash=requirement.excerpt.content_hash,
    )
    Review.objects.create(take=take)
    return take


@pytest.fixture
def corrected(take, director):
    """The first B of the music is a B flat now."""
    data = tune_musicxml().replace(b"<step>B</step>", b"<step>B</step><alter>-1</alter>", 1)
    correct(take.requirement.excerpt, read_score(data), by=director)
    return Take.objects.with_everything().get(pk=take.pk)


def test_before_a_correction_nothing_is_reported(take):
    assert shown_as_measured(take) is None
    assert outdated_count(take.requirement.excerpt) == 0


@pytest.mark.parametrize("known", [True, False])
def test_it_is_shown_with_the_music_it_was_measured_against(corrected, known):
    """Also an analysis from before hashes were written down."""
    if not known:
        Analysis.objects.update(score_hash="")
        corrected.analysis.refresh_from_db()
    assert corrected.requirement.excerpt.score.notes[1].midi == 70
    assert outdated_count(corrected.requirement.excerpt) == 1
    assert shown_as_measured(corrected) is not None
    assert corrected.requirement.excerpt.score.notes[1].midi == 71


def test_the_teachers_page_says_so(corrected, as_user, teacher):
    page = as_user(teacher).get(reverse("review", args=[corrected.pk])).content.decode()
    assert "measured against the music before it was changed on" in page
    assert "?music=" in page
    drawn = reverse("excerpt_svg", args=[corrected.requirement.excerpt_id])
    old = as_user(teacher).get(drawn, {"music": corrected.analysis.score_hash})
    new = as_user(teacher).get(drawn)
    assert old.status_code == new.status_code == 200
    assert old.content != new.content
    assert as_user(teacher).get(drawn, {"music": "0" * 64}).status_code == 404


def test_takes_are_measured_again_on_request_and_once(
    corrected, as_user, director, django_capture_on_commit_callbacks
):
    excerpt = corrected.requirement.excerpt
    page = as_user(director).get(reverse("excerpt_detail", args=[excerpt.pk])).content.decode()
    assert "1 take was measured against this music before it was changed" in page
    address = reverse("excerpt_measure_again", args=[excerpt.pk])
    with django_capture_on_commit_callbacks() as callbacks:
        assert as_user(director).post(address).status_code == 302
        assert as_user(director).post(address).status_code == 302
    assert len(callbacks) == 1
    analysis = Analysis.objects.get()
    assert analysis.state == Analysis.State.WAITING
    assert analysis.claim_for("w")
    assert analysis.finish(
        "w",
        {
            "version": "1",
            "recording": {"duration_s": 1.0},
            "tempo": {"metronome_bpm": 90},
            "form": {"share_played": 1.0, "complete": True, "note_count": 0},
            "intonation": {"judged": False},
            "tuning": {"a4_hz": 440.0},
        },
        score_hash=excerpt.content_hash,
    )
    assert outdated_count(excerpt) == 0
    assert measure_outdated_again(excerpt) == 0
