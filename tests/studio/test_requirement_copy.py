"""Requirements copied from another audition, season or instrument: seen first, never doubled."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from repertoire.models import Excerpt, Rubric
from studio.models import Audition, Requirement, Season
from studio.services.requirement_copy import shifted

VIENNA = ZoneInfo("Europe/Vienna")


@pytest.fixture
def next_audition(requirement):
    season = Season.objects.create(
        name="Next round",
        starts_on=timezone.localdate() + timedelta(days=200),
        ends_on=timezone.localdate() + timedelta(days=400),
    )
    closes_at = requirement.audition.closes_at + timedelta(days=300)
    return Audition.objects.create(
        season=season, name="Youth orchestra again", held_on=closes_at.date(), closes_at=closes_at
    )


def address(audition) -> str:
    return f"/auditions/{audition.pk}/requirements/copy/"


def test_seen_first_then_stored_once(as_user, director, requirement, next_audition):
    browser, asked = as_user(director), {"source": requirement.audition_id}
    page = browser.get(address(next_audition), asked)
    assert "Lamp Etude" in page.text
    assert "Copy 1 requirement<" in page.text
    assert not next_audition.requirements.exists()
    assert browser.post(address(next_audition), asked).status_code == 302
    made = next_audition.requirements.get()
    for name in ("instrument", "level", "excerpt", "rubric", "low_bpm", "high_bpm", "marked_bpm"):
        assert getattr(made, name) == getattr(requirement, name)
    before = timezone.localdate(requirement.audition.closes_at) - timezone.localdate(requirement.due_at)
    assert timezone.localdate(next_audition.closes_at) - timezone.localdate(made.due_at) == before
    again = browser.post(address(next_audition), asked, follow=True)
    assert "Nothing was copied: all of it is there already." in again.text
    assert "It is there already and stays as it is." in browser.get(address(next_audition), asked).text
    assert next_audition.requirements.count() == 1


def test_two_requirements_of_one_music_are_told_apart_by_their_bars(
    as_user, director, requirement, next_audition
):
    requirement.pk, requirement.from_bar, requirement.to_bar = None, "1", "2"
    requirement.save()
    as_user(director).post(address(next_audition), {"source": requirement.audition_id})
    assert sorted(next_audition.requirements.values_list("from_bar", flat=True)) == ["", "1"]


def test_for_another_instrument_the_same_music_is_looked_for(as_user, director, requirement, audition):
    browser = as_user(director)
    asked = {"source": audition.pk, "instrument": "violin", "as_instrument": "viola", "as_level": "junior"}
    assert "There is no such music for this instrument yet." in browser.get(address(audition), asked).text
    music = requirement.excerpt
    viola = Excerpt.objects.create(
        **{
            f.name: getattr(music, f.name) for f in Excerpt._meta.fields if f.name not in ("id", "instrument")
        },
        instrument="viola",
    )
    browser.post(address(audition), asked)
    made = audition.requirements.exclude(pk=requirement.pk).get()
    assert (made.instrument, made.level, made.excerpt) == ("viola", "junior", viola)
    assert made.due_at == requirement.due_at


def test_an_old_version_of_a_marking_form_is_not_copied(as_user, director, requirement, next_audition):
    newer = Rubric.objects.create(name="Etude form", replaces=requirement.rubric, version=2)
    as_user(director).post(address(next_audition), {"source": requirement.audition_id})
    assert next_audition.requirements.get().rubric == newer


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({}, "Choose another audition"),
        ({"as_instrument": "viola"}, "Choose the one instrument"),
        ({"source": "999"}, "Select a valid choice"),
    ],
)
def test_what_makes_no_sense_is_said_at_its_field(asked, said, as_user, director, requirement):
    page = as_user(director).get(address(requirement.audition), {"source": requirement.audition_id, **asked})
    assert said in page.text
    assert Requirement.objects.count() == 1


def test_the_hour_stays_across_a_change_of_the_clock():
    with timezone.override(VIENNA):
        due = datetime(2031, 3, 20, 18, 0, tzinfo=VIENNA)
        moved = shifted(
            due, datetime(2031, 3, 27, 12, tzinfo=VIENNA), datetime(2031, 4, 3, 12, tzinfo=VIENNA)
        )
        local = timezone.localtime(moved)
        assert (local.date(), local.hour) == (date(2031, 3, 27), 18)
        # A week later summer time has begun.
        later = shifted(
            due, datetime(2031, 3, 27, 12, tzinfo=VIENNA), datetime(2031, 4, 10, 12, tzinfo=VIENNA)
        )
        assert timezone.localtime(later).hour == 18
        assert later.astimezone(UTC) - due.astimezone(UTC) == timedelta(days=14) - timedelta(hours=1)


@pytest.mark.parametrize("person", ["teacher", "student_user", "guardian"])
def test_the_known_but_not_allowed(person, as_user, request, next_audition):
    assert as_user(request.getfixturevalue(person)).get(address(next_audition)).status_code == 403
