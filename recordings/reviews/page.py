"""What the review page shows: the stored review, overlaid with what was just typed and could not be kept."""

from dataclasses import dataclass, replace

from django.db.models import prefetch_related_objects
from django.utils.translation import gettext as _

from recordings.models import Mark, Remark, Review, Take
from recordings.models.remark import spans_of
from recordings.reviews import corrected
from recordings.reviews.bar_table import bar_rows, broken_off
from recordings.reviews.correction_form import CorrectionForm
from recordings.reviews.form import ReviewForm
from recordings.reviews.former import former_of
from recordings.reviews.habits import own_system_words, pitch_habits, temperament_words
from recordings.reviews.hints import is_recognised
from recordings.reviews.phrases import offers_for
from recordings.reviews.save import AlreadyReleased, RemarkText, SavedElsewhere, save_review
from recordings.reviews.score_data import score_data
from recordings.takes.measure_again import shown_as_measured
from repertoire.notation.numerals import plain_number
from repertoire.show.engraved import engraved_svg
from repertoire.show.stretches import stretch_with
from repertoire.wording.words import short_number
from studio.models import Studio, User

ENGRAVED_WIDTH_PX = 800


@dataclass(frozen=True)
class MarkField:
    mark: Mark
    value: str
    error: str

    @property
    def name(self) -> str:
        return f"mark-{self.mark.caption_id}"

    @property
    def suggestion(self) -> str:
        low, high = self.mark.suggested_low, self.mark.suggested_high
        if low is None or high is None:
            return _("No suggestion.") if self.mark.evidence else _("No suggestion: this one is for the ear.")
        if low == high:
            return _("Suggested: %(mark)s") % {"mark": short_number(low)}
        return _("Suggested: %(low)s to %(high)s") % {"low": short_number(low), "high": short_number(high)}


@dataclass(frozen=True)
class RemarkField:
    key: str
    place: int
    text: RemarkText
    finding: dict | None

    @property
    def reasons(self) -> list[tuple[str, str]]:
        """What "this is wrong" may mean, as choices of the verdict, with their words; none for own words."""
        if self.finding is None:
            return []
        return [(f"{Remark.Verdict.WRONG}:{value}", str(label)) for value, label in Remark.Wrong.choices]

    @property
    def is_unsure(self) -> bool:
        return self.finding is not None and self.finding.get("certainty") == "unsure"

    @property
    def spans(self) -> list[list[float]]:
        return spans_of(self.finding, self.text.start_s, self.text.end_s)

    @property
    def start(self) -> str:
        return "" if self.text.start_s is None else f"{self.text.start_s:.3f}"

    @property
    def end(self) -> str:
        return "" if self.text.end_s is None else f"{self.text.end_s:.3f}"


def mark_fields(
    review: Review, form: ReviewForm | None = None, *, ask_marks: bool = False
) -> list[MarkField]:
    typed = form.typed_marks if form else {}
    errors = form.errors if form else {}
    fields = []
    for mark in review.marks.select_related("caption__rubric"):
        stored = "" if mark.value is None else plain_number(mark.value)
        value = str(typed.get(str(mark.caption_id), stored))
        error = errors.get(f"mark-{mark.caption_id}", "")
        if ask_marks and not value:
            error = _("%(caption)s still needs a mark.") % {"caption": mark.caption.name}
        fields.append(MarkField(mark, value, error))
    return fields


def remark_fields(review: Review, form: ReviewForm | None = None) -> list[RemarkField]:
    stored = {remark.pk: remark for remark in review.remarks.all()}
    texts = form.remarks if form else tuple(RemarkText.of(remark) for remark in stored.values())
    fields = []
    for place, text in enumerate(texts):
        remark = stored.get(text.pk) if text.pk else None
        key = str(text.pk) if remark else f"new{place}"
        known = text if remark else replace(text, pk=None)
        fields.append(RemarkField(key, place, known, remark.finding if remark else None))
    return fields


def conflict_of(review: Review, trouble: Exception) -> dict:
    """What stands in the other window, for the person to compare."""
    return {
        "review": review,
        "is_released": isinstance(trouble, AlreadyReleased),
        "marks": mark_fields(review),
        "remarks": remark_fields(review),
    }


def review_context(
    take: Take,
    review: Review,
    form: ReviewForm | None = None,
    *,
    by: User,
    ask_marks: bool = False,
    conflict: dict | None = None,
    refusal: str = "",
    next_take: Take | None = None,
    correcting: CorrectionForm | None = None,
) -> dict:
    """Template context of the review page as `by` reads it; `form` holds what was typed when a save failed.

    `refusal` says why nothing was saved, `conflict` what another window has saved; `next_take` is what
    the reviewer may hear after this one; `correcting` a correction that could not be kept.
    """
    replaced_at = shown_as_measured(take)
    remarks = remark_fields(review, form)
    fields = mark_fields(review, form, ask_marks=ask_marks)
    rubric = review.rubric_by([field.mark for field in fields])
    prefetch_related_objects([rubric], "captions")
    shown = stretch_with(take.requirement.excerpt, take.requirement.order)
    return {
        "take": take,
        "replaced_at": replaced_at,
        "requirement": take.requirement,
        "student": take.entry.student,
        "analysis": take.analysis,
        "review": review,
        "rubric": rubric,
        "total": rubric.total({field.mark.caption_id: field.mark.value for field in fields}),
        "mark_fields": fields,
        "remark_fields": remarks,
        "again_choices": Review.Again.choices,
        "may_keep_all": any(not r.text.choice for r in remarks) and Studio.current().keep_all_at_once,
        "words": form.typed_words if form else review.words,
        "events": review.events.select_related("by"),
        "svg": engraved_svg(take.requirement.excerpt, ENGRAVED_WIDTH_PX, bars=shown),
        "shown": shown,
        "ribbons": score_data(take),
        "rows": bar_rows(take),
        "engraved_width": ENGRAVED_WIDTH_PX,
        "pitch_habits": pitch_habits(take.analysis.result or {}, take.requirement.excerpt.score),
        "pitch_system": temperament_words(take.analysis.result or {}),
        "own_system": own_system_words(take.analysis.result or {}),
        "conflict": conflict,
        "refusal": refusal,
        "next_take": next_take,
        "recognised": is_recognised(take.analysis.result or {}),
        "former": former_of(take),
        "correct": corrected.desk_of(take, correcting),
        "offers": {} if review.is_released else offers_for(take, remarks, by),
        "broken_off": broken_off(take.analysis.result or {}),
    }


@dataclass(frozen=True)
class Unsaved:
    """The page that says what of a posted form is not stored, and keeps it."""

    context: dict
    status: int


def store_form(
    take: Take, review: Review, form: ReviewForm, *, by, minds_marks: bool = True
) -> Unsaved | None:
    """Save a posted form; None where all of it is stored, or all but a mark nobody minds."""
    if form.edition is None:
        # Saved without its edition, it might overwrite what another window has saved.
        refusal = _(
            "Nothing was saved: what was sent does not say which text it was written on. What you typed "
            "is on this page; please read it through and save again."
        )
        return Unsaved(review_context(take, review, form, by=by, refusal=refusal), 422)
    try:
        save_review(review, form.text, edition=form.edition, by=by)
    except (SavedElsewhere, AlreadyReleased) as trouble:
        return Unsaved(review_context(take, review, form, by=by, conflict=conflict_of(review, trouble)), 409)
    return Unsaved(review_context(take, review, form, by=by), 422) if form.errors and minds_marks else None
