from decimal import Decimal

from recordings.reviews.draft import draft_review, ensure_draft
from recordings.reviews.release import release_review
from recordings.reviews.save import RemarkText, ReviewText, save_review
from studio.models import Entry
from tests.recordings.measured_take import make_take
from tests.recordings.reviews.conftest import SUGGESTED, mark_all, sent


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
    assert [remark.finding["kind"] for remark in review.remarks.all()] == [f"kind{n}" for n in range(7)]


def test_a_take_that_could_not_be_measured_is_drafted_by_ear(entry, requirement):
    review = ensure_draft(make_take(entry, requirement, state="failed"))
    assert review.marks.count() == 3
    assert review.remarks.count() == 0


def test_measuring_again_replaces_untouched_remarks_only(take, review):
    kept, changed, left_out = review.remarks.all()
    texts = (
        RemarkText("My own words.", changed.bars, pk=changed.pk),
        RemarkText(left_out.text, left_out.bars, verdict="dropped", pk=left_out.pk),
        RemarkText(kept.text, kept.bars, pk=kept.pk),
        RemarkText("Written by me.", "4"),
    )
    save_review(review, ReviewText(words="Well done.", remarks=texts), edition=0)
    document = {**take.analysis.result, "draft_marks": [{**SUGGESTED, "low": 8, "high": 9}]}
    again = draft_review(take, document)
    assert again.words == "Well done."
    drafted = [remark.text for remark in again.remarks.all()]
    for text in ("My own words.", "Written by me.", kept.text):
        assert drafted.count(text) == 1
    assert again.remarks.filter(verdict="dropped").count() == 1
    assert again.remarks.count() == 4
    assert again.marks.get(caption__name="Intonation").suggested_low == 8


def test_measuring_again_leaves_a_released_review_alone(take, review):
    mark_all(review)
    release_review(review, by=None)
    before = sent(review)
    again = draft_review(take, {**take.analysis.result, "findings": []})
    assert sent(again) == before


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
    [better] = [remark for remark in remarks if remark.finding["kind"] == "strength_progress"]
    assert better.text == "Better than last time: no stop on the way any more."
    assert better.finding["strength"]


def test_a_first_take_and_an_unchanged_one_have_no_progress_to_tell(take, review, entry, requirement):
    again = later_take(entry, requirement, take.analysis.result)
    for drafted in (review, draft_review(again, again.analysis.result)):
        assert "strength_progress" not in {remark.finding["kind"] for remark in drafted.remarks.all()}


def test_another_students_take_is_never_compared_with(take, requirement, entry, other_student):
    theirs = Entry.objects.create(
        student=other_student, audition=entry.audition, instrument=entry.instrument, level=entry.level
    )
    after_mine = later_take(theirs, requirement, {**take.analysis.result, "version": "theirs"})
    assert after_mine.result_before is None
    later = later_take(entry, requirement, take.analysis.result)
    assert later.result_before == take.analysis.result
