"""The lines of "This week" from rows: what was gathered, in which words, with which action."""

from datetime import timedelta

import pytest
from django.utils import timezone

from recordings.models import Take
from recordings.readiness.week import Line, matters_for
from recordings.readiness.week_rules import Need
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
from tests.recordings.conftest import finish, plain_take
from tests.recordings.readiness.test_rows import answer, crowd

DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def entered_long_ago(entry, season):
    Season.objects.update(starts_on=timezone.localdate() - 60 * DAY)
    Entry.objects.update(made_at=timezone.now() - 5 * DAY)


def lines_for(user) -> list[Line]:
    return [matter.line() for matter in matters_for(user)]


def lines(user) -> list[tuple[str, str, str, str]]:
    return [(line.need.value, line.sentence, line.action, line.address) for line in lines_for(user)]


def needs(user) -> list[Need]:
    return [line.need for line in lines_for(user)]


def due_in(days: float) -> None:
    Requirement.objects.update(due_at=timezone.now() + days * DAY)


def takes_of(entry, requirement, *numbers: tuple[float, int]) -> None:
    """One take a day up to an hour ago, each with its tempo and its percent of right notes."""
    for back, (bpm, right) in enumerate(reversed(numbers)):
        take = plain_take(entry, requirement, minutes_ago=60 + 1440 * back, sha256=f"{back:064}")
        finish(take, metronome_bpm=bpm, right_share=right / 100)


def test_nothing_needs_anybody(director, entry, requirement):
    assert lines(director) == []


def test_due_and_overdue(director, entry, requirement):
    cell = f"/entries/{entry.pk}/requirements/{requirement.pk}/remind/"
    due_in(3)
    [(need, sentence, action, address)] = lines(director)
    assert (need, action, address) == ("due", "Remind by mail", cell)
    assert sentence.startswith("“Lamp Etude” for Youth orchestra is due on ")
    due_in(-1)
    [(need, sentence, _, address)] = lines(director)
    assert (need, address) == ("overdue", cell)
    assert "was due on" in sentence
    plain_take(entry, requirement)
    assert lines(director) == []


def test_a_take_that_cannot_be_judged_is_none(director, entry, requirement):
    due_in(-1)
    finish(plain_take(entry, requirement), unusable="silent")
    assert needs(director) == [Need.OVERDUE]


def test_unheard(director, entry, requirement):
    take = plain_take(entry, requirement, minutes_ago=4 * 1440)
    finish(take)
    [(need, sentence, action, address)] = lines(director)
    assert (need, action, address) == ("unheard", "Hear the take", f"/takes/{take.pk}/review/")
    assert "is not answered yet" in sentence


def test_only_the_latest_take_is_unheard(director, entry, requirement):
    finish(plain_take(entry, requirement, minutes_ago=9 * 1440))
    finish(plain_take(entry, requirement, minutes_ago=1440, sha256="1" * 64))
    assert lines(director) == []


def test_chasing(director, entry, requirement):
    takes_of(entry, requirement, (72, 99), (76, 97), (80, 93), (88, 90))
    [(need, sentence, action, address)] = lines(director)
    assert (need, action) == ("chasing", "Open the takes")
    assert address == f"/entries/{entry.pk}/requirements/{requirement.pk}/"
    assert sentence == (
        "“Lamp Etude”: the last three takes went at 76, 80, 88, with 97, 93, 90 percent of the notes right."
    )


def test_faster_and_better_is_no_chasing(director, entry, requirement):
    takes_of(entry, requirement, (76, 93), (80, 95), (88, 97))
    assert lines(director) == []


def test_close(director, entry, requirement):
    take = plain_take(entry, requirement)
    finish(take)
    answer(take, 7).marks.filter(caption__name="Tone").update(value=6)
    [(need, sentence, action, _)] = lines(director)
    assert (need, action) == ("close", "Open the takes")
    assert sentence == "“Lamp Etude” for Youth orchestra: Tone is at 6; 7 or more counts as ready."
    take.review.marks.update(value=6)
    assert lines(director) == []


def test_marks_of_an_earlier_answer_are_not_those_of_the_latest_take(director, entry, requirement):
    earlier = plain_take(entry, requirement, minutes_ago=60)
    finish(earlier)
    answer(earlier, 7).marks.filter(caption__name="Tone").update(value=6)
    finish(plain_take(entry, requirement, sha256="1" * 64))
    assert lines(director) == []


def test_silent(director, entry, requirement, student):
    take = plain_take(entry, requirement, minutes_ago=11 * 1440)
    finish(take)
    answer(take, 5)
    Entry.objects.update(made_at=timezone.now() - 20 * DAY)
    [(need, sentence, action, address)] = lines(director)
    assert (need, action, address) == ("silent", "Open the student", f"/students/{student.pk}/")
    assert sentence.startswith("The last take came on ")
    Take.objects.update(uploaded_at=timezone.now() - 9 * DAY)
    assert lines(director) == []


def test_silent_from_the_beginning(director, entry, requirement, season):
    Entry.objects.update(made_at=timezone.now() - 11 * DAY)
    [(need, sentence, *_)] = lines(director)
    assert need == "silent"
    assert sentence.startswith("No take has come since ")
    Season.objects.update(starts_on=timezone.localdate() - 9 * DAY)
    assert lines(director) == []


def test_one_who_waits_for_the_teacher_is_not_silent(director, entry, requirement):
    Entry.objects.update(made_at=timezone.now() - 20 * DAY)
    finish(plain_take(entry, requirement, minutes_ago=11 * 1440))
    assert needs(director) == [Need.UNHEARD]


def test_a_take_of_one_piece_breaks_the_silence_of_the_other(director, entry, requirement, make_requirement):
    Entry.objects.update(made_at=timezone.now() - 20 * DAY)
    finish(plain_take(entry, make_requirement(), minutes_ago=60))
    assert lines(director) == []


def test_no_agreement(director, teacher, entry, requirement, student):
    Consent.objects.get().withdraw()
    assert lines(director) == [
        (
            "agreement",
            "A guardian has an account and has not agreed yet.",
            "Open the student",
            f"/students/{student.pk}/edit/",
        )
    ]
    Guardianship.objects.all().delete()
    [line] = lines_for(director)
    assert (line.sentence, line.who) == ("The guardian is not invited yet.", "guardian")
    assert line.address == f"/students/{student.pk}/invite/"
    [line] = lines_for(teacher)
    assert (line.who, line.address) == ("", f"/students/{student.pk}/")
    Student.objects.update(guardian_email="")
    [line] = lines_for(director)
    assert (line.sentence, line.who) == ("There is no guardian's mail address yet.", "")


def invited(student, role, director, days_ago: float) -> None:
    invitation, _ = Invitation.issue(
        email="n@example.org", name="N", role=role, invited_by=director, student=student
    )
    Invitation.objects.filter(pk=invitation.pk).update(invited_at=timezone.now() - days_ago * DAY)


@pytest.mark.parametrize(("days_ago", "told"), [(4, True), (2, False)])
def test_a_guardian_who_has_not_come(director, entry, requirement, student, days_ago, told):
    Consent.objects.get().withdraw()
    Guardianship.objects.all().delete()
    invited(student, Role.GUARDIAN, director, days_ago)
    found = [(line.need, line.who) for line in lines_for(director)]
    assert found == ([(Need.INVITATION, "guardian")] if told else [])


def test_an_invitation_that_has_run_out_is_still_unanswered(director, entry, requirement, student):
    Student.objects.update(user=None)
    invited(student, Role.STUDENT, director, 40)
    Invitation.objects.update(expires_at=timezone.now() - 20 * DAY)
    [line] = lines_for(director)
    assert (line.need, line.who) == (Need.INVITATION, "student")
    invited(student, Role.STUDENT, director, 1)
    assert lines_for(director) == []


def test_an_invitation_taken_back_is_none(director, entry, requirement, student):
    Consent.objects.get().withdraw()
    Guardianship.objects.all().delete()
    invited(student, Role.GUARDIAN, director, 4)
    Invitation.objects.get().withdraw()
    [line] = lines_for(director)
    assert (line.need, line.sentence) == (Need.AGREEMENT, "The guardian is not invited yet.")


@pytest.mark.parametrize(("days_ago", "told"), [(4, True), (2, False)])
def test_a_teacher_who_has_not_come_is_for_the_director(
    director, teacher, entry, requirement, days_ago, told
):
    invited(None, Role.TEACHER, director, days_ago)
    assert [line.address for line in lines_for(director)] == (["/people/"] if told else [])
    assert lines_for(teacher) == []


def test_a_teacher_sees_the_own_students(director, teacher, other_teacher, entry, requirement):
    due_in(-1)
    assert needs(director) == needs(teacher) == [Need.OVERDUE]
    assert needs(other_teacher) == []


def test_a_closed_audition_needs_nobody(director, entry, requirement):
    Consent.objects.get().withdraw()
    due_in(-2)
    Audition.objects.update(closes_at=timezone.now() - DAY)
    assert lines(director) == []


def test_the_most_pressing_first_and_within_it_the_longest_waiting(
    director, entry, requirement, make_requirement
):
    Consent.objects.get().withdraw()
    due_in(2)
    early = make_requirement(due_at=timezone.now() - 3 * DAY)
    late = make_requirement(due_at=timezone.now() - DAY)
    told = [(line.need, line.address.split("/")[4]) for line in lines_for(director)]
    assert told[:3] == [
        (Need.OVERDUE, str(early.pk)),
        (Need.OVERDUE, str(late.pk)),
        (Need.DUE, str(requirement.pk)),
    ]
    assert [need for need, _ in told[3:]] == [Need.AGREEMENT]


@pytest.mark.parametrize("count", [2, 9])
def test_the_number_of_queries_does_not_grow(
    count, director, audition, entry, requirement, teacher, make_requirement, django_assert_num_queries
):
    for row in crowd(count, audition, requirement, teacher):
        takes_of(row, make_requirement(), (76, 97), (80, 93), (88, 90))
    Requirement.objects.filter(pk=requirement.pk).update(due_at=timezone.now() - DAY)
    assert director.is_director
    with django_assert_num_queries(11):
        found = {line.need for line in lines_for(director)}
    assert found == {Need.OVERDUE, Need.CHASING}
