from datetime import timedelta

import pytest
from django.utils import timezone

from recordings.models import Review, Take
from recordings.readiness.checklist import season_next_step, season_steps, standings_of
from studio.models import Audition, Consent, Entry, Requirement
from tests.recordings.conftest import finish, plain_take
from tests.recordings.readiness.test_rows import answer, crowd


def standing(audition):
    [found] = standings_of([audition])
    return found


def counts(audition) -> list[tuple[int, int | None, bool]]:
    return [(step.done, step.of, step.is_done) for step in standing(audition).steps]


def next_words(audition) -> str:
    step = standing(audition).next_step
    return step.sentence if step else ""


def test_an_empty_audition_has_nothing_done(audition):
    assert counts(audition) == [
        (0, None, False),
        (0, None, False),
        (0, 0, False),
        (0, 0, False),
        (0, 0, False),
        (0, 0, False),
    ]


def test_every_step_in_its_turn(audition, rubric, excerpt, student, make_requirement):
    assert next_words(audition) == "Set what is to be played."
    requirement = make_requirement()
    assert next_words(audition) == "Enter the students who take part."
    entry = Entry.objects.create(student=student, audition=audition, instrument="viola", level="senior")
    assert next_words(audition) == "Set what is to be played for Viola, senior."
    Entry.objects.update(instrument="violin")
    consent = Consent.objects.get()
    consent.withdraw()
    assert next_words(audition) == "1 entry still lacks a guardian's agreement."
    # A student entered twice is two entries, and nowhere called two students.
    second = Entry.objects.create(student=student, audition=audition, instrument="viola", level="senior")
    both = make_requirement(instrument="viola")
    assert next_words(audition) == "2 entries still lack a guardian's agreement."
    second.delete()
    both.delete()
    Consent.objects.update(withdrawn_at=None)
    assert next_words(audition) == "1 first take is still to come."
    take = plain_take(entry, requirement)
    finish(take)
    assert next_words(audition) == "1 take waits for an answer."
    answer(take, 8)
    assert next_words(audition) == ""
    assert all(done for _, _, done in counts(audition))


def test_a_closed_audition_has_no_next_step(audition, requirement):
    Audition.objects.update(closes_at=timezone.now() - timedelta(minutes=1))
    audition.refresh_from_db()
    assert next_words(audition) == ""


def test_the_next_step_opens_the_instrument_that_lacks_music(audition, requirement, student):
    Entry.objects.create(student=student, audition=audition, instrument="flute", level="junior")
    address = standing(audition).next_step.address
    assert address == f"/auditions/{audition.pk}/requirements/new/?instrument=flute"


def test_numbers_by_instrument_and_level(audition, requirement, entry, make_requirement, teacher):
    make_requirement(level="junior")
    crowd(2, audition, requirement, teacher)
    junior, senior = standing(audition).groups
    assert (junior.name, junior.entries, junior.requirements, junior.cells) == ("Violin, junior", 0, 1, 0)
    assert (senior.entries, senior.agreed, senior.cells, senior.taken, senior.answered) == (3, 3, 3, 2, 0)


def test_a_minor_without_agreement_may_not_record(audition, requirement, other_student):
    Entry.objects.create(student=other_student, audition=audition, instrument="violin", level="senior")
    assert standing(audition).totals.agreed == 0
    other_student.is_minor = False
    other_student.save()
    assert standing(audition).totals.agreed == 1


def test_a_second_take_is_no_second_first_take(audition, entry, requirement):
    answer(plain_take(entry, requirement, minutes_ago=30), 8)
    plain_take(entry, requirement, sha256="1" * 64)
    totals = standing(audition).totals
    assert (totals.cells, totals.taken, totals.answered) == (1, 1, 0)


def test_two_takes_of_one_moment_are_one_first_take(audition, entry, requirement):
    first, _ = (plain_take(entry, requirement, sha256=digit * 64) for digit in "01")
    Take.objects.update(uploaded_at=first.uploaded_at)
    assert standing(audition).totals.taken == 1


@pytest.mark.parametrize("counts_as_take", [True, False])
def test_a_take_to_be_recorded_again_is_no_first_take(audition, entry, requirement, counts_as_take):
    take = plain_take(entry, requirement)
    finish(take, unusable="" if counts_as_take else "silent")
    assert standing(audition).totals.taken == int(counts_as_take)


def test_a_take_for_music_the_entry_does_not_carry_is_not_counted(audition, entry, requirement):
    plain_take(entry, requirement)
    Requirement.objects.update(level="junior")
    assert standing(audition).totals.taken == 0


@pytest.mark.parametrize("unusable", ["", "silent", None])
@pytest.mark.parametrize("heard_anyway", [False, True])
@pytest.mark.parametrize("review", [None, "draft", "withdrawn", "released", "released again"])
def test_what_counts_of_many_is_what_counts_of_one(entry, requirement, unusable, heard_anyway, review):
    take = plain_take(entry, requirement)
    if unusable is None:
        take.analysis.delete()
    else:
        finish(take, unusable=unusable)
    Take.objects.update(hear_anyway_at=timezone.now() if heard_anyway else None)
    if review:
        state, *again = review.split()
        Review.objects.create(take=take, state=state, again="quiet" if again else "")
    one = Take.objects.select_related("analysis", "review").get()
    assert Take.objects.counting().exists() is not one.is_to_be_recorded_again
    assert Take.objects.latest_counting().exists() is not one.is_to_be_recorded_again


def test_a_season_adds_up_its_auditions_and_goes_by_their_closing_times(season, audition, requirement, entry):
    later = Audition.objects.create(
        season=season,
        name="Second",
        held_on=audition.held_on,
        closes_at=audition.closes_at + timedelta(hours=1),
    )
    standings = standings_of(season.auditions.all())
    assert [(step.done, step.of) for step in season_steps(standings)[:3]] == [(2, None), (1, None), (1, None)]
    named, step = season_next_step(season, standings)
    assert (named, step.sentence) == (audition, "1 first take is still to come.")
    answer(plain_take(entry, requirement), 8)
    named, step = season_next_step(season, standings_of(season.auditions.all()))
    assert (named, step.sentence) == (later, "Set what is to be played.")


def test_an_empty_season_begins_with_an_audition(season):
    named, step = season_next_step(season, [])
    assert named is None
    assert step.address == f"/seasons/{season.pk}/auditions/new/"


@pytest.mark.parametrize("count", [2, 9])
def test_the_number_of_queries_does_not_grow(
    count, season, audition, requirement, teacher, django_assert_num_queries
):
    crowd(count, audition, requirement, teacher)
    for number in range(count):
        Audition.objects.create(
            season=season, name=f"A {number}", held_on=audition.held_on, closes_at=audition.closes_at
        )
    auditions = list(season.auditions.all())
    with django_assert_num_queries(3):
        assert len([standing.next_step for standing in standings_of(auditions)]) == count + 1
