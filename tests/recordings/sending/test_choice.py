"""The take to send: the best answered by default, a person's choice before it, shown beside the rules."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from recordings.models import TakeToSend
from recordings.sending.choice import choices_of
from repertoire.wording.words import words
from studio.models import Consent, Requirement, SendingRules
from tests.recordings.conftest import finish, plain_take
from tests.recordings.readiness.test_rows import answer, crowd


@pytest.fixture
def rules(audition):
    return SendingRules.objects.create(audition=audition, longest_s=60)


@pytest.fixture
def takes(entry, requirement):
    """The first marked best, the second lower and later, the third unanswered."""
    made = [
        plain_take(entry, requirement, minutes_ago=60 - minute, sha256=str(minute) * 64)
        for minute in (1, 2, 3)
    ]
    for take in made:
        finish(take)
    answer(made[0], 9)
    answer(made[1], 7)
    return made


def choice(entry):
    [found] = choices_of([entry])[entry.pk]
    return found


def choose(browser, entry, requirement, take):
    data = {"requirement": requirement.pk, "take": take.pk if take else ""}
    return browser.post(f"/entries/{entry.pk}/sending/choose/", data)


def test_the_best_answered_take_is_sent_unless_somebody_chooses(entry, takes):
    found = choice(entry)
    assert found.take == takes[0]
    assert words(found.why) == "The best marked of 2 answered takes; complete ones come first."


def test_a_complete_take_comes_before_a_better_marked_one(entry, takes):
    finish(takes[0], complete=False)
    assert choice(entry).take == takes[1]


def test_without_an_answer_it_is_the_latest_that_can_be_judged(entry, requirement):
    first, second = (plain_take(entry, requirement, minutes_ago=9 - n, sha256=str(n) * 64) for n in (1, 2))
    finish(second, unusable="silent")
    assert choice(entry).take == first
    assert words(choice(entry).why) == "The latest take; none is answered yet."


@pytest.mark.parametrize("who", ["director", "teacher", "student_user"])
def test_a_person_chooses_and_takes_it_back(who, entry, requirement, takes, as_user, request):
    browser = as_user(request.getfixturevalue(who))
    assert choose(browser, entry, requirement, takes[2]).status_code == 302
    assert choice(entry).take == takes[2]
    assert "Chosen by" in browser.get(f"/entries/{entry.pk}/sending/").text
    choose(browser, entry, requirement, takes[1])
    assert choice(entry).take == takes[1]
    choose(browser, entry, requirement, None)
    assert choice(entry).take == takes[0]


def test_a_student_chooses_a_full_take_only(entry, requirement, takes, as_user, student_user, teacher):
    finish(takes[2], complete=False)
    refused = choose(as_user(student_user), entry, requirement, takes[2])
    assert refused.status_code == 422
    assert "all bars were heard" in refused.text
    assert not TakeToSend.objects.exists()
    assert choose(as_user(teacher), entry, requirement, takes[2]).status_code == 302


def test_a_guardian_reads_and_does_not_choose(entry, requirement, takes, as_user, guardian):
    browser = as_user(guardian)
    assert choose(browser, entry, requirement, takes[2]).status_code == 403
    assert "<select" not in browser.get(f"/entries/{entry.pk}/sending/").text


def test_a_take_of_another_requirement_is_no_choice(entry, requirement, takes, make_other, as_user, director):
    other = make_other(requirement)
    assert choose(as_user(director), entry, other, takes[0]).status_code == 404


@pytest.fixture
def make_other():
    def made(requirement: Requirement) -> Requirement:
        return Requirement.objects.create(
            **{
                field.name: getattr(requirement, field.name)
                for field in Requirement._meta.fields
                if field.name not in ("id", "from_bar", "to_bar")
            },
            from_bar="1",
            to_bar="2",
        )

    return made


def test_one_recording_stands_for_everything(entry, requirement, takes, make_other, rules, as_user, director):
    make_other(requirement)
    SendingRules.objects.update(files="one", name_pattern="{entry}")
    browser = as_user(director)
    assert "has to be one recording" in browser.get(f"/entries/{entry.pk}/sending/").text
    choose(browser, entry, requirement, takes[1])
    assert [each.take for each in choices_of([entry])[entry.pk]] == [takes[1], takes[1]]


def test_a_removed_take_gives_way_to_the_default(entry, requirement, takes, as_user, director):
    choose(as_user(director), entry, requirement, takes[1])
    takes[1].delete()
    assert choice(entry).take == takes[0]


def test_the_page_says_rule_by_rule_what_is_broken(entry, takes, rules, as_user, director, student_user):
    finish(takes[0], duration_s=75.0)
    for person in (director, student_user):
        text = as_user(person).get(f"/entries/{entry.pk}/sending/").text
        assert "1:15 minutes, and 1:00 is the longest" in text
    listed = as_user(director).get(f"/auditions/{entry.audition_id}/sending/").text
    assert "one rule not kept" in listed
    Consent.objects.get().withdraw()
    assert "2 rules not kept" in as_user(director).get(f"/auditions/{entry.audition_id}/sending/").text


def test_without_rules_the_page_says_so(entry, takes, as_user, director):
    assert "Set the rules" in as_user(director).get(f"/entries/{entry.pk}/sending/").text


def test_a_teacher_sees_only_own_students_in_the_list(entry, takes, rules, as_user, other_teacher):
    assert "Mira" not in as_user(other_teacher).get(f"/auditions/{entry.audition_id}/sending/").text


def test_scales_come_first_where_the_body_asks_for_it(entry, requirement, make_other):
    scale = make_other(requirement)
    scale.excerpt.pk, scale.excerpt.kind, scale.excerpt.title = None, "scale", "D major"
    scale.excerpt.save()
    Requirement.objects.filter(pk=scale.pk).update(excerpt=scale.excerpt)
    ordered = choices_of([entry], order="scales_first")[entry.pk]
    assert [each.requirement.pk for each in ordered] == [scale.pk, requirement.pk]


def test_the_list_costs_the_same_for_many(audition, requirement, teacher, rules, as_user, director):
    counted = []
    for count in (2, 7):
        crowd(count, audition, requirement, teacher)
        browser = as_user(director)
        with CaptureQueriesContext(connection) as queries:
            assert browser.get(f"/auditions/{audition.pk}/sending/").status_code == 200
        counted.append(len(queries))
    assert counted[0] == counted[1] < 15


def test_a_ready_take_comes_before_a_better_marked_one(entry, takes):
    """What is sent by default and what counts as ready are the same take."""
    finish(takes[0], metronome_bpm=140.0)
    assert choice(entry).take == takes[1]
    assert words(choice(entry).why) == "Of 2 answered takes, one that is everything that is asked."
