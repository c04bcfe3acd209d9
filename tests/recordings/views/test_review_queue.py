from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from recordings.models import Review
from studio.models import Entry, Requirement
from tests.recordings.measured_take import make_take


@pytest.fixture
def url():
    return reverse("review_queue")


@pytest.fixture
def other_entry(other_student, audition):
    return Entry.objects.create(student=other_student, audition=audition, instrument="violin", level="senior")


def second_requirement(requirement, **changes):
    same = ("audition", "instrument", "level", "excerpt", "rubric", "marked_bpm", "low_bpm", "high_bpm")
    fields = {name: getattr(requirement, name) for name in same}
    return Requirement.objects.create(**{**fields, "due_at": requirement.due_at, **changes})


def test_the_nearest_deadline_stands_first(as_user, teacher, entry, requirement, url):
    later = make_take(entry, requirement)
    sooner = make_take(entry, second_requirement(requirement, due_at=timezone.now() + timedelta(days=2)))
    page = as_user(teacher).get(url)
    assert [take.pk for take in page.context["page"]] == [sooner.pk, later.pk]
    assert "2 days left" in page.content.decode()
    assert reverse("review", args=[sooner.pk]) in page.content.decode()


def test_a_teacher_sees_own_students_a_director_all(
    as_user, teacher, other_teacher, director, entry, other_entry, requirement, url
):
    own, other = make_take(entry, requirement), make_take(other_entry, requirement)
    seen = {
        person: {take.pk for take in as_user(person).get(url).context["page"]}
        for person in (teacher, other_teacher, director)
    }
    assert seen == {teacher: {own.pk}, other_teacher: {other.pk}, director: {own.pk, other.pk}}


def test_students_and_guardians_are_refused(as_user, student_user, guardian, url):
    assert as_user(student_user).get(url).status_code == 403
    assert as_user(guardian).get(url).status_code == 403
    assert as_user(None).get(url).status_code == 302


def test_a_released_take_moves_to_the_other_list(as_user, teacher, entry, requirement, url):
    take = make_take(entry, requirement)
    Review.objects.create(take=take, state="released", released_at=timezone.now())
    browser = as_user(teacher)
    assert not browser.get(url).context["page"].object_list
    assert [listed.pk for listed in browser.get(url + "?show=released").context["page"]] == [take.pk]


def test_takes_being_measured_are_counted_not_listed(as_user, teacher, entry, requirement, url):
    make_take(entry, requirement, state="waiting")
    page = as_user(teacher).get(url)
    assert not page.context["page"].object_list
    assert "1 more take is still being measured." in page.content.decode()


def test_a_failed_measurement_is_listed_with_its_state(as_user, teacher, entry, requirement, url):
    make_take(entry, requirement, state="failed")
    assert "could not be measured" in as_user(teacher).get(url).content.decode()


def test_lists_long_queues_page_by_page_with_few_queries(
    as_user, director, entry, requirement, url, django_assert_max_num_queries
):
    for day in range(27):
        due_at = requirement.due_at - timedelta(hours=day)
        make_take(entry, second_requirement(requirement, due_at=due_at))
    browser = as_user(director)
    with django_assert_max_num_queries(14):
        page = browser.get(url)
    assert len(page.context["page"]) == 25
    assert len(browser.get(url + "?page=2").context["page"]) == 2
