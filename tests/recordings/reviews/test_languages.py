"""What was measured follows the reader's language; what a teacher wrote does not."""

from dataclasses import asdict

import pytest
from django.utils import translation

from recordings.analysis import sentences
from recordings.models import Remark
from recordings.reviews.events import record_event
from recordings.reviews.save import RemarkText, ReviewText, save_review
from repertoire.wording.words import words

STOP = sentences.FIND_HESITATION(place=sentences.BAR_SINGLE(bar="3"), seconds=0.9)


@pytest.fixture
def remark(review):
    finding = {"kind": "hesitation", "bars": "3", "text": asdict(STOP), "start_s": 1.0, "end_s": 4.0}
    return Remark.objects.create(review=review, bars="3", finding=finding)


def test_a_drafted_remark_is_read_in_the_language_of_now(remark):
    assert remark.text == "Bar 3: a hesitation of about 0.9 seconds."
    with translation.override("de"):
        assert "0,9" in remark.text


def test_saved_as_it_was_shown_it_still_follows_the_language(remark):
    with translation.override("de"):
        text = ReviewText(remarks=(RemarkText.of(remark),))
        save_review(remark.review, text, edition=remark.review.edition)
    remark.refresh_from_db()
    assert remark.own_text is None
    assert "0.9" in remark.text


def test_what_a_teacher_wrote_stays_as_it_is(remark):
    own = RemarkText("Breathe 0.9 bars earlier.", "3", pk=remark.pk)
    save_review(remark.review, ReviewText(remarks=(own,)), edition=remark.review.edition)
    remark.refresh_from_db()
    with translation.override("de"):
        assert remark.text == "Breathe 0.9 bars earlier."


def test_a_drafted_remark_the_teacher_emptied_stays_empty(remark):
    emptied = RemarkText("", "3", pk=remark.pk)
    save_review(remark.review, ReviewText(remarks=(emptied,)), edition=remark.review.edition)
    remark.refresh_from_db()
    assert remark.text == ""


def test_the_history_keeps_a_sentence_and_not_its_words(remark, teacher):
    record_event(remark.review, "withdrawn", by=teacher)
    [kept] = [r for r in remark.review.events.get(kind="withdrawn").snapshot["remarks"] if r["bars"] == "3"]
    assert "0.9" in words(kept["text"])
    with translation.override("de"):
        assert "0,9" in words(kept["text"])


def test_a_finding_of_an_earlier_document_is_read_as_it_was_written(review):
    old = {"kind": "hesitation", "bars": "3", "text": "Bar 3: a hesitation.", "start_s": 1.0, "end_s": 4.0}
    remark = Remark.objects.create(review=review, bars="3", finding=old)
    assert remark.text == "Bar 3: a hesitation."
    assert remark.is_as_drafted
