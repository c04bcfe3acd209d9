"""What a released answer says is to be practised, and how."""

import pytest
from django.urls import reverse

from recordings.models import Remark, Review
from recordings.reviews.answer import answer_of
from recordings.reviews.practice import HABIT, NOTES, PITCH, WAYS, how_to_practise, plan_of
from recordings.reviews.verdicts import TOPICS
from tests.recordings.measured_take import make_take

KEPT = Remark.Verdict.KEPT
# A recording that another cannot mend by practising, or praise.
NOTHING_TO_PRACTISE = {"transposed", "not_followed"}


@pytest.fixture
def review(entry, requirement):
    return Review.objects.create(take=make_take(entry, requirement), state=Review.State.RELEASED)


def remark(review, kind: str = "", *, bars: str = "2", text: str = "Listen here.", **fields):
    finding = {"kind": kind, "text": text} if kind else None
    return Remark.objects.create(
        review=review, verdict=KEPT, bars=bars, own_text=text, finding=finding, **fields
    )


def plan(review):
    return plan_of(answer_of(review).cards)


def test_every_kind_that_is_told_has_its_way_or_a_reason_for_none():
    told = {kind for _label, kinds in TOPICS for kind in kinds if not kind.startswith("strength")}
    assert told - WAYS.keys() == NOTHING_TO_PRACTISE


def test_the_kept_remarks_each_with_a_way(review):
    remark(review, "wrong_note", bars="2")
    remark(review, "intonation", bars="3-4")
    remark(review, "intonation_habit", bars="")
    assert [item.how for item in plan(review)] == [str(NOTES), str(PITCH), str(HABIT)]
    assert "from=3&to=4" in plan(review)[1].card.practice


def test_five_at_most_in_the_teachers_order(review):
    for position in range(8):
        remark(review, "hesitation", bars=str(1 + position % 4), text=f"{position}", position=position)
    assert [item.card.remark.text for item in plan(review)] == ["0", "1", "2", "3"]
    remark(review, "dotted", bars="1", text="dotted", position=8)
    remark(review, "slurs", bars="1", text="slurs", position=9)
    assert [item.card.remark.text for item in plan(review)] == ["0", "1", "2", "3", "dotted"]


def test_the_teachers_own_remark_brings_its_own_way(review):
    remark(review, text="Two bows here, and breathe.")
    [item] = plan(review)
    assert item.how == ""
    assert item.card.practice


def test_what_was_left_out_and_what_is_good_is_not_practised(review):
    remark(review, "rushing").delete()
    Remark.objects.create(review=review, bars="2", own_text="No.", finding={"kind": "rushing"})
    Remark.objects.create(
        review=review,
        verdict=KEPT,
        bars="2",
        own_text="Good.",
        finding={"kind": "strength_bars", "strength": True},
    )
    assert plan(review) == ()


def test_a_word_without_bars_and_without_a_way_is_no_item(review):
    remark(review, bars="", text="A lovely tone.")
    assert plan(review) == ()
    assert how_to_practise(review.remarks.get()) == ""


class TestPage:
    @pytest.fixture
    def url(self, review):
        return reverse("take_plan", args=[review.take_id])

    def test_the_plan_with_its_bars_and_minutes(self, as_user, student_user, review, url):
        remark(review, "uneven_run", bars="2", text="The run in bar 2 is uneven.")
        page = as_user(student_user).get(url).content.decode()
        assert "The run in bar 2 is uneven." in page
        assert "long-short, then short-long" in page
        assert "from=2&amp;to=2" in page
        assert "about 5 minutes a day for all of it" in page
        answer = as_user(student_user).get(reverse("take_detail", args=[review.take_id])).content.decode()
        assert url in answer

    def test_a_draft_stays_with_the_teacher(self, as_user, student_user, review, url):
        remark(review, "uneven_run", text="Not yet to be read.")
        Review.objects.update(state=Review.State.DRAFT)
        page = as_user(student_user).get(url).content.decode()
        assert "Not yet to be read." not in page
        assert "The answer is not there yet." in page

    def test_an_answer_with_nothing_to_practise(self, as_user, student_user, review, url):
        page = as_user(student_user).get(url).content.decode()
        assert "This answer names nothing to practise." in page
        answer = as_user(student_user).get(reverse("take_detail", args=[review.take_id])).content.decode()
        assert url not in answer
