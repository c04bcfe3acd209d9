"""What is drafted is a proposal: nothing is sent before the teacher keeps it."""

from dataclasses import replace

import pytest
from django.urls import reverse

from recordings.models import Remark, Review
from recordings.reviews.draft import draft_review
from recordings.reviews.save import RemarkText, ReviewText, save_review
from tests.recordings.measured_take import make_take
from tests.recordings.views.test_review_save import as_form


@pytest.fixture
def take(entry, requirement):
    return make_take(entry, requirement)


@pytest.fixture
def review(take):
    return draft_review(take, take.analysis.result)


def judged(review: Review, **verdicts: str) -> None:
    """Save with these verdicts by place: first="kept", second="wrong:style"."""
    places = ("first", "second", "third")
    remarks = []
    for place, remark in zip(places, review.remarks.all(), strict=True):
        verdict, _colon, reason = verdicts.get(place, "proposed").partition(":")
        remarks.append(replace(RemarkText.of(remark), verdict=verdict, wrong_reason=reason))
    save_review(review, ReviewText(remarks=tuple(remarks)), edition=review.edition)


def test_a_draft_sends_nothing_by_itself(review):
    assert {remark.verdict for remark in review.remarks.all()} == {"proposed"}
    assert review.shown_remarks == []
    assert len(review.open_proposals) == 3


def test_only_what_is_kept_is_sent(review):
    judged(review, first="kept", second="dropped")
    assert [remark.verdict for remark in review.remarks.all()] == ["kept", "dropped", "proposed"]
    assert review.shown_remarks == [review.remarks.first()]


def test_wrong_keeps_its_reason_and_is_not_sent(review):
    judged(review, first="wrong:note_was_right")
    first = Review.objects.get().remarks.first()
    assert (first.verdict, first.wrong_reason) == ("wrong", "note_was_right")
    assert review.shown_remarks == []
    judged(review, first="kept")
    assert Review.objects.get().remarks.first().wrong_reason == ""


def test_who_rewrites_a_proposal_means_to_send_it(review):
    first, *others = (RemarkText.of(remark) for remark in review.remarks.all())
    text = ReviewText(remarks=(replace(first, text="Breathe here."), *others))
    save_review(review, text, edition=0)
    assert [remark.verdict for remark in review.remarks.all()] == ["kept", "proposed", "proposed"]
    assert review.remarks.first().is_reworded


def test_a_teachers_own_words_are_no_proposal_and_not_the_measurings_fault(review):
    own = (RemarkText("Sing it first."), RemarkText("Not this.", verdict="wrong", wrong_reason="style"))
    drafted = tuple(RemarkText.of(remark) for remark in review.remarks.all())
    save_review(review, ReviewText(remarks=(*drafted, *own)), edition=0)
    assert [(r.verdict, r.wrong_reason) for r in review.remarks.all()[3:]] == [("kept", ""), ("dropped", "")]


def test_measuring_again_drafts_anew_what_nobody_has_looked_at(review, take):
    judged(review, first="kept", second="wrong:style")
    kept, wrong, _looked_past = review.remarks.all()
    again = draft_review(take, take.analysis.result)
    assert {kept.pk, wrong.pk} <= set(again.remarks.values_list("pk", flat=True))
    assert len(again.open_proposals) == 1


def test_the_question_before_releasing_says_what_stays_behind(as_user, teacher, review):
    review.marks.update(value=7)
    first, second, _third = review.remarks.all()
    fields = as_form(review, **{f"remark-{first.pk}-verdict": "kept"})
    for remark in (second, _third):
        del fields[f"remark-{remark.pk}-verdict"]
    page = as_user(teacher).post(reverse("review_release", args=[review.take_id]), fields)
    html = page.content.decode()
    assert "2 proposals are neither kept nor left out; they are not sent." in html
    assert first.text in html
    assert second.text not in html


def test_keeping_all_at_once_is_the_studios_choice(as_user, teacher, review, studio):
    client, address = as_user(teacher), reverse("review", args=[review.take_id])
    assert 'id="keep-all"' not in client.get(address).content.decode()
    studio.keep_all_at_once = True
    studio.save()
    assert 'id="keep-all"' in client.get(address).content.decode()
    Remark.objects.update(verdict="kept")
    assert 'id="keep-all"' not in client.get(address).content.decode()
