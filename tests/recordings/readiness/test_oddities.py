"""Each oddity with a case that has it and a near miss that has not."""

from datetime import timedelta

import pytest
from django.utils import timezone

from recordings.readiness.checklist import standings_of
from recordings.readiness.oddities import About, oddities_of
from repertoire.models import Excerpt
from studio.models import (
    Audition,
    Consent,
    Entry,
    Guardianship,
    Invitation,
    Requirement,
    Role,
    Season,
    Student,
)
from studio.services.more_time import give
from tests.recordings.conftest import plain_take
from tests.recordings.readiness.test_rows import crowd

DAY = timedelta(days=1)


def odd(about: About | None = None) -> list[str]:
    standings = standings_of(Audition.objects.select_related("season"))
    return [one.sentence for one in oddities_of(standings) if about in (None, one.about)]


def links() -> list[str]:
    return [one.address for one in oddities_of(standings_of(Audition.objects.select_related("season")))]


def change(model, **fields) -> None:
    model.objects.update(**fields)


def test_a_season_in_order_is_not_odd(entry, requirement):
    assert odd() == []


def test_an_instrument_entered_without_a_requirement(entry, requirement, audition):
    change(Requirement, instrument="viola")
    assert odd(About.MUSIC) == [
        "“Youth orchestra”: students are entered for Violin, senior, but nothing is required of them yet.",
        "“Youth orchestra”: music is set for Viola, senior, but nobody is entered for it.",
    ]
    assert links() == [
        f"/auditions/{audition.pk}/requirements/new/?instrument=violin",
        f"/auditions/{audition.pk}/entries/new/",
    ]


def test_a_level_written_otherwise_is_another_level(entry, requirement):
    change(Requirement, level="Senior")
    assert len(odd(About.MUSIC)) == 2


def test_music_before_anybody_is_entered_is_no_oddity(requirement):
    assert odd() == []


def test_closing_after_the_event(entry, requirement, audition):
    change(Audition, held_on=timezone.localdate(audition.closes_at) - DAY)
    [sentence] = odd(About.DATES)
    assert "after the audition itself" in sentence
    assert links() == [f"/auditions/{audition.pk}/edit/"]


def test_closing_on_the_day_of_the_event_is_in_order(entry, requirement, audition):
    change(Audition, held_on=timezone.localdate(audition.closes_at))
    assert odd() == []


@pytest.mark.parametrize(("days_after_the_end", "is_odd"), [(0, False), (1, True)])
def test_an_audition_outside_the_season(entry, requirement, audition, season, days_after_the_end, is_odd):
    change(Season, ends_on=audition.held_on - days_after_the_end * DAY)
    assert any("outside the season" in sentence for sentence in odd(About.DATES)) is is_odd


@pytest.mark.parametrize(("days_before_the_start", "is_odd"), [(0, False), (1, True)])
def test_a_closing_time_before_the_season(
    entry, requirement, audition, season, days_before_the_start, is_odd
):
    day = timezone.localdate(audition.closes_at)
    change(Season, starts_on=day + days_before_the_start * DAY)
    assert any("before the season begins" in one for one in odd() if "closes on" in one) is is_odd


def test_a_closing_time_gone_by_without_a_take(entry, requirement):
    change(Audition, closes_at=timezone.now() - 2 * DAY, held_on=timezone.localdate() - DAY)
    change(Requirement, due_at=timezone.now() - 3 * DAY)
    [sentence] = odd()
    assert "without a single take. Is the date right?" in sentence
    plain_take(entry, requirement)
    assert odd() == []


@pytest.mark.parametrize(("more_time", "is_odd"), [(False, True), (True, False)])
def test_a_deadline_gone_by_without_a_take_unless_somebody_has_more_time(
    entry, requirement, director, more_time, is_odd
):
    change(Requirement, due_at=timezone.now() - DAY)
    if more_time:
        give([entry], until=timezone.now() + DAY, reason="A broken string.", by=director)
    assert any("without a single take" in sentence for sentence in odd(About.DATES)) is is_odd


def test_a_season_that_is_over_is_not_asked_about(entry, requirement):
    change(Audition, closes_at=timezone.now() - 5 * DAY, held_on=timezone.localdate() - 4 * DAY)
    change(Requirement, due_at=timezone.now() - 6 * DAY)
    change(Season, ends_on=timezone.localdate() - DAY)
    assert odd() == []


@pytest.mark.parametrize(("seconds_later", "is_odd"), [(0, False), (1, True)])
def test_a_deadline_after_the_closing_time(entry, requirement, audition, seconds_later, is_odd):
    change(Requirement, due_at=audition.closes_at + timedelta(seconds=seconds_later))
    assert any("later than the closing time" in sentence for sentence in odd(About.DATES)) is is_odd
    assert links() == ([f"/requirements/{requirement.pk}/edit/"] if is_odd else [])


def test_a_deadline_before_the_season(entry, requirement, season):
    change(Requirement, due_at=timezone.now() - 31 * DAY)
    [sentence] = odd(About.DATES)
    assert "before the season begins" in sentence


def test_a_deadline_gone_by_without_a_take(entry, requirement):
    change(Requirement, due_at=timezone.now() - DAY)
    [sentence] = odd(About.DATES)
    assert "passed on" in sentence
    plain_take(entry, requirement)
    assert odd() == []


def test_a_tempo_nobody_hits(entry, requirement):
    change(Requirement, low_bpm=96, high_bpm=96)
    assert odd(About.TEMPO) == [
        "“Lamp Etude” (Violin, senior): only 96 a minute is accepted; nobody plays that exactly."
    ]
    change(Requirement, low_bpm="95.5")
    assert odd() == []


@pytest.mark.parametrize(("bpm", "is_odd"), [(48, True), (49, False), (191, False), (192, True)])
def test_a_tempo_in_another_beat_unit(entry, requirement, bpm, is_odd):
    change(Requirement, marked_bpm=bpm, low_bpm=bpm - 5, high_bpm=bpm + 5)
    assert bool(odd(About.TEMPO)) is is_odd


def test_an_order_of_play_nobody_confirmed(entry, requirement, excerpt):
    change(Excerpt, order_confirmed=False)
    assert odd(About.TEMPO) == ["The order of play of “Lamp Etude” is not confirmed yet."]
    assert links() == [f"/music/{excerpt.pk}/"]


def test_a_teacher_who_has_left(entry, requirement, teacher, student):
    teacher.is_active = False
    teacher.save()
    assert odd(About.TEACHER) == [
        "Mira Tannhof has no teacher here: Anselm Birke does not teach in this studio any more."
    ]
    assert links() == [f"/students/{student.pk}/edit/"]


def test_a_teacher_whose_role_has_ended(entry, requirement, teacher):
    teacher.roles.all().delete()
    assert len(odd(About.TEACHER)) == 1
    teacher.grant(Role.DIRECTOR, Role.TEACHER)
    assert odd() == []


def test_a_student_who_is_not_entered_is_not_told_of(entry, requirement, other_student):
    assert odd() == []


def test_why_there_is_no_agreement(entry, requirement, student, director):
    Consent.objects.get().withdraw()
    assert odd(About.AGREEMENT) == [
        "Mira Tannhof cannot hand in yet: the guardian has an account and has not agreed."
    ]
    Guardianship.objects.all().delete()
    assert odd() == ["Mira Tannhof cannot hand in yet: the guardian is not invited."]
    invitation, _ = Invitation.issue(
        email=student.guardian_email, name="R", role=Role.GUARDIAN, invited_by=director, student=student
    )
    assert odd() == ["Mira Tannhof cannot hand in yet: the guardian is invited and has not answered."]
    invitation.withdraw()
    change(Student, guardian_email="")
    assert odd() == ["Mira Tannhof cannot hand in yet: there is no guardian's mail address."]
    change(Student, is_minor=False)
    assert odd() == []


def test_of_age_without_account_or_invitation(entry, requirement, student, director):
    change(Student, is_minor=False, user=None)
    assert odd(About.AGREEMENT) == ["Mira Tannhof has no account and is not invited yet."]
    Invitation.issue(email=student.email, name="M", role=Role.STUDENT, invited_by=director, student=student)
    assert odd() == []


def test_a_student_in_two_auditions_is_told_of_once(entry, requirement, audition, season, student):
    second = Audition.objects.create(
        season=season, name="Second", held_on=audition.held_on, closes_at=audition.closes_at
    )
    Entry.objects.create(student=student, audition=second, instrument="violin", level="senior")
    Consent.objects.get().withdraw()
    assert len(odd(About.AGREEMENT)) == 1


def test_of_a_closed_audition_only_dates_are_told(entry, requirement, teacher):
    plain_take(entry, requirement)
    teacher.roles.all().delete()
    Consent.objects.get().withdraw()
    change(Requirement, low_bpm=96, high_bpm=96, level="junior")
    change(Audition, closes_at=timezone.now() - 2 * DAY, held_on=timezone.localdate() - 3 * DAY)
    assert {about for about in About if odd(about)} == {About.DATES}


@pytest.mark.parametrize("count", [2, 9])
def test_the_number_of_queries_does_not_grow(
    count, audition, requirement, teacher, make_requirement, django_assert_num_queries
):
    crowd(count, audition, requirement, teacher)
    teacher.roles.all().delete()
    change(Student, is_minor=True)
    for _ in range(count):
        make_requirement(low_bpm=96, high_bpm=96)
    standings = standings_of(Audition.objects.select_related("season"))
    with django_assert_num_queries(3):
        assert len(oddities_of(standings)) == 3 * count
