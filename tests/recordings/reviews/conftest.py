"""A measured take with its drafted review, and what a teacher writes into it."""

from decimal import Decimal

import pytest

from recordings.reviews.draft import draft_review
from recordings.reviews.save import RemarkText, ReviewText, save_review
from tests.recordings.measured_take import make_take

SUGGESTED = {"caption": "intonation", "low": 6, "high": 7.5, "evidence": "12 of 24 notes within 10 cents"}


@pytest.fixture
def take(entry, requirement):
    return make_take(entry, requirement, findings=3, captions=[SUGGESTED])


@pytest.fixture
def review(take):
    return draft_review(take, take.analysis.result)


def mark_all(review, value=8):
    marks = {mark.caption_id: Decimal(value) for mark in review.marks.all()}
    save_review(review, ReviewText(marks=marks, remarks=sent(review)), edition=review.edition)


def sent(review):
    """The remarks as the page sends them, unchanged."""
    return tuple(RemarkText.of(remark) for remark in review.remarks.all())
