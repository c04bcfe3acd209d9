"""The review's way without pages: drafting, refreshing, saving with an edition, releasing, withdrawing."""

from decimal import Decimal

import pytest

from recordings.models import Review, ReviewEvent
from recordings.reviews.draft import draft_review, ensure_draft
from recordings.reviews.release import NotEveryCaptionMarked, release_review, withdraw_review
from recordings.reviews.save import AlreadyReleased, RemarkText, ReviewText, SavedElsewhere, save_review
from tests.recordings.measured import make_take

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
    return tuple(
        RemarkText(one.text, one.bars, one.start_s, one.end_s, one.kept, one.pk)
        for one in review.remarks.all()
    )


def test_draft_has_a_mark_for_every_caption_and_suggests_where_it_can(review):
    assert [mark.caption.name for mark in review.marks.all()] == ["Tone", "Intonation", "Musicality"]
    tone, intonation, _ = review.marks.all()
    assert (tone.suggested_low, tone.value) == (None, None)
    assert (intonation.suggested_low, intonation.suggested_high) == (Decimal("6.0"), Decimal("7.5"))
    assert intonation.evidence == SUGGESTED["evidence"]
    assert intonation.value is None


def test_draft_keeps_the_findings_order_with_bars_and_times(review):
    first = review.remarks.first()
    assert (first.bars, first.start_s, first.end_s) == ("1", 0.5, 3.0)
    assert first.finding["kind"] == "kind0"
    assert [event.kind for event in review.events.all()] == ["drafted"]


def test_at_most_seven_remarks_are_drafted(entry, requirement):
    take = make_take(entry, requirement, findings=12)
    review = draft_review(take, take.analysis.result)
    assert [one.finding["kind"] for one in review.remarks.all()] == [f"kind{n}" for n in range(7)]


def test_a_take_that_could_not_be_measured_is_drafted_by_ear(entry, requirement):
    review = ensure_draft(make_take(entry, requirement, state="failed"))
    assert review.marks.count() == 3
    assert review.remarks.count() == 0


def test_measuring_again_replaces_untouched_remarks_only(take, review):
    kept, changed, left_out = review.remarks.all()
    texts = (
        RemarkText("My own words.", changed.bars, pk=changed.pk),
        RemarkText(left_out.text, left_out.bars, kept=False, pk=left_out.pk),
        RemarkText(kept.text, kept.bars, pk=kept.pk),
        RemarkText("Written by me.", "4"),
    )
    save_review(review, ReviewText(words="Well done.", remarks=texts), edition=0)
    document = {**take.analysis.result, "draft_marks": [{**SUGGESTED, "low": 8, "high": 9}]}
    again = draft_review(take, document)
    assert again.words == "Well done."
    said = [one.text for one in again.remarks.all()]
    assert said.count("My own words.") == said.count("Written by me.") == said.count(kept.text) == 1
    assert again.remarks.filter(kept=False).count() == 1
    assert again.remarks.count() == 4
    assert again.marks.get(caption__name="Intonation").suggested_low == 8


def test_measuring_again_leaves_a_released_review_alone(take, review):
    mark_all(review)
    release_review(review, by=None)
    before = sent(review)
    again = draft_review(take, {**take.analysis.result, "findings": []})
    assert sent(again) == before


def test_saving_counts_the_edition_and_an_old_edition_is_refused(review, teacher):
    save_review(review, ReviewText(words="first", remarks=sent(review)), edition=0, window="a", by=teacher)
    assert (review.edition, review.reviewer) == (1, teacher)
    with pytest.raises(SavedElsewhere):
        save_review(review, ReviewText(words="second"), edition=0, window="b")
    assert Review.objects.get().words == "first"


def test_the_same_window_may_send_again_when_it_did_not_hear_the_answer(review):
    fresh = ReviewText(words="first", remarks=(*sent(review), RemarkText("New.", "2")))
    save_review(review, fresh, edition=0, window="a")
    save_review(review, ReviewText(words="and more", remarks=fresh.remarks), edition=0, window="a")
    assert (review.edition, review.words) == (1, "and more")
    assert review.remarks.filter(text="New.").count() == 1


def test_remarks_are_stored_in_the_order_sent_and_blank_own_ones_vanish(review):
    first, second, third = sent(review)
    ids = save_review(
        review,
        ReviewText(remarks=(third, RemarkText("  "), RemarkText("Breathe here.", "3"), first)),
        edition=0,
    )
    assert ids[1] is None
    stored = list(review.remarks.all())
    assert [one.pk for one in stored] == [third.pk, ids[2], first.pk, second.pk]
    assert [one.kept for one in stored] == [True, True, True, False]


def test_release_needs_every_mark_and_names_those_missing(review, teacher):
    with pytest.raises(NotEveryCaptionMarked, match="Tone, Intonation, Musicality"):
        release_review(review, by=teacher)
    assert not Review.objects.get().is_released


def test_release_is_done_once_and_tells_who_and_what(review, teacher):
    mark_all(review)
    assert release_review(review, by=teacher)
    assert not release_review(review, by=teacher)
    event = review.events.get(kind=ReviewEvent.Kind.RELEASED)
    assert event.by == teacher
    assert event.snapshot["marks"][0] == {"caption": "Tone", "value": "8.0", "low": "1.0", "high": "10.0"}


def test_release_of_an_edition_that_has_been_passed_is_refused(review, teacher):
    mark_all(review)
    with pytest.raises(SavedElsewhere):
        release_review(review, by=teacher, edition=review.edition - 1)


def test_a_released_review_is_not_changed(review, teacher):
    mark_all(review)
    release_review(review, by=teacher)
    with pytest.raises(AlreadyReleased):
        save_review(review, ReviewText(words="too late"), edition=review.edition)


def test_withdrawn_review_can_be_changed_and_released_again(review, teacher):
    mark_all(review)
    release_review(review, by=teacher)
    assert withdraw_review(review, by=teacher)
    assert not withdraw_review(review, by=teacher)
    mark_all(review, 9)
    assert release_review(review, by=teacher)
    kinds = [event.kind for event in review.events.all()]
    assert kinds == ["drafted", "released", "withdrawn", "released"]
    values = [event.snapshot["marks"][0]["value"] for event in review.events.exclude(kind="drafted")]
    assert values == ["8.0", "8.0", "9.0"]


def test_a_caption_added_later_wants_a_mark_too(take, review, teacher):
    mark_all(review)
    take.requirement.rubric.captions.create(position=9, name="Rhythm", low=1, high=10, step=1)
    again = ensure_draft(take)
    with pytest.raises(NotEveryCaptionMarked, match="Rhythm"):
        release_review(again, by=teacher)


def later_take(entry, requirement, result):
    take = make_take(entry, requirement, sound=b"a later sound")
    take.analysis.result = result
    take.analysis.save(update_fields=["result"])
    return take


def test_what_got_better_since_the_last_take_is_drafted_as_a_strength(take, entry, requirement):
    first = take.analysis
    first.result["form"]["restarts"] = [{"bar": "2", "from_bar": "3", "time_s": 4.0}]
    first.save(update_fields=["result"])
    later = later_take(entry, requirement, {**first.result, "form": {**first.result["form"], "restarts": []}})
    remarks = list(draft_review(later, later.analysis.result).remarks.all())
    [better] = [one for one in remarks if one.finding["kind"] == "strength_progress"]
    assert better.text == "Better than last time: no stop on the way any more."
    assert better.finding["strength"]


def test_a_first_take_and_an_unchanged_one_have_no_progress_to_tell(take, review, entry, requirement):
    again = later_take(entry, requirement, take.analysis.result)
    for drafted in (review, draft_review(again, again.analysis.result)):
        assert "strength_progress" not in {one.finding["kind"] for one in drafted.remarks.all()}


def test_another_students_take_is_never_compared_with(take, requirement, entry):
    assert take.result_before is None
    later = later_take(entry, requirement, take.analysis.result)
    assert later.result_before == take.analysis.result
    assert later.entry == take.entry
