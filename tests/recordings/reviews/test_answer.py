"""A released answer as its player reads it: a card a remark with its own bars, strengths together."""

import pytest

from recordings.models import Remark, Review
from recordings.reviews.answer import answer_of
from tests.recordings.measured_take import BAR_S, make_take

KEPT = Remark.Verdict.KEPT


@pytest.fixture
def review(entry, requirement):
    return Review.objects.create(take=make_take(entry, requirement), state=Review.State.RELEASED)


def card_of(review, **fields):
    Remark.objects.create(review=review, verdict=KEPT, own_text="Listen here.", **fields)
    return answer_of(review).cards[-1]


def test_strengths_stand_together_under_keep(review):
    Remark.objects.create(review=review, verdict=KEPT, own_text="In tune.", finding={"strength": True})
    Remark.objects.create(
        review=review, verdict=KEPT, own_text="Late.", bars="2", finding={"strength": False}
    )
    Remark.objects.create(review=review, own_text="Not looked at.", finding={"strength": True})
    answer = answer_of(review)
    assert [remark.text for remark in answer.keep] == ["In tune."]
    assert [card.remark.text for card in answer.cards] == ["Late."]


def test_every_named_bar_is_heard_by_itself_each_time_it_was_played(review):
    """The form is 1-2, 1-2, 3-4: bar 2 sounds twice, and bar 4 at the end."""
    card = card_of(review, bars="2, 4", start_s=3.0, end_s=15.5)
    assert card.spans == [[3.0, 3.0 + BAR_S], [8.0, 8.0 + BAR_S], [13.0, 13.0 + BAR_S]]


def test_bars_that_follow_each_other_are_heard_in_one(review):
    assert card_of(review, bars="3-4", start_s=10.5, end_s=15.5).spans == [[10.5, 15.5]]


def test_a_findings_own_places_come_before_its_bars(review):
    places = [{"start_s": 3.2, "end_s": 3.9}, {"start_s": 13.1, "end_s": 13.5}]
    finding = {"start_s": 3.2, "end_s": 13.5, "places": places}
    card = card_of(review, bars="2, 4", start_s=3.2, end_s=13.5, finding=finding)
    assert card.spans == [[3.2, 3.9], [13.1, 13.5]]


def test_a_card_draws_its_own_bars_and_practises_them_slowly(review, requirement):
    card = card_of(review, bars="2, 3-4", start_s=3.0, end_s=15.5)
    assert card.drawings == ("from=2&to=2", "from=3&to=4")
    assert card.first_bar == "2"
    for part in ("from=2", "to=2", "bpm=67", "target=96", "loop=1"):
        assert part in card.practice.split("&")


@pytest.mark.parametrize("bars", ["", "77", "somewhere"])
def test_what_names_no_printed_bar_draws_nothing_and_practises_nothing(review, bars):
    card = card_of(review, bars=bars)
    assert (card.drawings, card.practice, card.spans) == ((), "", [])
