"""What stands in the queue beside a take."""

from types import SimpleNamespace

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from recordings.models import Analysis, Remark, Review, Take
from recordings.reviews.queue import lines_of, total_of, what_changed
from tests.recordings.measured_take import make_take


def measured(bpm: float | None, right: float | None = None, in_tune: float | None = None):
    return SimpleNamespace(metronome_bpm=bpm, right_share=right, in_tune_share=in_tune)


@pytest.mark.parametrize(
    ("former", "now", "said"),
    [
        (measured(84, 0.94, 0.7), measured(92, 0.98, 0.8),
         "tempo 92 after 84, notes right 98 % after 94 %, in tune 80 % after 70 %"),
        (measured(84, 0.98, 0.8), measured(85, 0.97, 0.78), "much as before"),
        (measured(None, None), measured(85, 0.97), "much as before"),
        (measured(84, 0.99, None), measured(96, 0.9, None), "tempo 96 after 84, notes right 90 % after 99 %"),
    ],
)  # fmt: skip
def test_what_changed_is_told_only_beyond_the_measurings_unrest(former, now, said):
    assert what_changed(former, now) == said


@pytest.fixture
def take(entry, requirement):
    return make_take(entry, requirement)


def proposed(take, *findings: dict, **fields) -> None:
    review, _ = Review.objects.get_or_create(take=take)
    for finding in findings:
        Remark.objects.create(review=review, bars="2", finding=finding, **fields)


def listed():
    return lines_of(list(Take.objects.awaiting_review().with_everything()))


def test_the_gravest_finding_that_may_still_go_out(take):
    proposed(
        take,
        {"text": "Light.", "weight": 3},
        {"text": "Grave.", "weight": 9},
        {"text": "Praise.", "weight": 20, "strength": True},
    )
    proposed(take, {"text": "Wrong.", "weight": 30}, verdict=Remark.Verdict.WRONG)
    [line] = listed()
    assert line.gravest.text == "Grave."


def test_where_nothing_stood_out_there_is_none(take):
    [line] = listed()
    assert line.gravest is None
    assert line.change == ""


def test_since_the_last_answered_take_of_the_same_requirement(entry, requirement):
    earlier = make_take(entry, requirement)
    Take.objects.filter(pk=earlier.pk).update(uploaded_at=timezone.now() - timezone.timedelta(days=3))
    Review.objects.create(take=earlier, state=Review.State.RELEASED, released_at=timezone.now())
    Analysis.objects.filter(take=earlier).update(metronome_bpm=80.0)
    later = make_take(entry, requirement)
    Analysis.objects.filter(take=later).update(metronome_bpm=96.0)
    [line] = listed()
    assert (line.take, line.change) == (later, "tempo 96 after 80")
    assert line.in_range


def test_the_length_of_it_all(entry, requirement, take):
    Analysis.objects.update(duration_s=100.0)
    total = total_of(Take.objects.awaiting_review())
    assert (total.count, total.seconds) == (1, 100.0)


class TestPage:
    def test_begin_leads_to_the_first(self, as_user, teacher, take):
        proposed(take, {"text": "Bar 2: the F sharp is low.", "weight": 9})
        page = as_user(teacher).get(reverse("review_queue")).content.decode()
        assert "1 take, " in page
        assert page.index(">Begin<") < page.index("Bar 2: the F sharp is low.")
        assert reverse("review", args=[take.pk]) in page

    def test_as_many_queries_for_many_takes(self, as_user, teacher, entry, requirement, other_student, take):
        browser = as_user(teacher)
        browser.get(reverse("review_queue"))
        with CaptureQueriesContext(
            connection,
        ) as one:
            browser.get(reverse("review_queue"))
        for number in range(4):
            same = Take.objects.get(pk=take.pk).requirement
            same.pk, same.due_at = None, same.due_at + timezone.timedelta(hours=number)
            same.save()
            proposed(make_take(entry, same), {"text": "x", "weight": 1})
        with CaptureQueriesContext(connection) as many:
            assert len(browser.get(reverse("review_queue")).context["lines"]) == 5
        assert len(many) == len(one)
