"""What a form of the music amounts to, shown before it is saved: the music, the line, its length."""

from dataclasses import dataclass

from repertoire.models import Excerpt
from repertoire.notation.numerals import clock
from repertoire.notation.order.order_line import print_order, unasked
from repertoire.notation.order.playing_times import duration_s
from repertoire.show.engraved import engraved_svg
from repertoire.show.stretches import stretch_with
from studio.forms.requirement import RequirementForm


@dataclass(frozen=True, slots=True)
class Preview:
    svg: str
    excerpt: Excerpt
    shown: tuple[str, str] | None
    title: str
    line: str
    bar_count: int
    unasked_count: int
    duration_s: float

    @property
    def clock(self) -> str:
        return clock(round(self.duration_s))


def preview_of(form: RequirementForm, width_px: int) -> Preview | None:
    """The form as it stands in the fields, or as it is stored; None while it cannot be read."""
    requirement = form.instance
    if form.is_bound:
        form.is_valid()
        order, excerpt = form.asked, form.cleaned_data.get("excerpt")
        bpm = form.cleaned_data.get("marked_bpm")
    elif requirement.pk:
        order, excerpt, bpm = requirement.order, requirement.excerpt, requirement.marked_bpm
    else:
        return None
    if not (order and excerpt):
        return None
    return _preview(excerpt, order, float(bpm or excerpt.marked_bpm), width_px)


def _preview(excerpt: Excerpt, order: tuple[int, ...], bpm: float, width_px: int) -> Preview:
    pale = unasked(excerpt.score, order)
    shown = stretch_with(excerpt, order)
    form = excerpt.form(order=order)
    return Preview(
        svg=engraved_svg(excerpt, width_px, bars=shown, ribbon_room=False, unasked=pale),
        excerpt=excerpt,
        shown=shown,
        title=excerpt.title,
        line=print_order(excerpt.score, order),
        bar_count=len(order),
        unasked_count=len(pale),
        duration_s=duration_s(
            form, bpm=bpm, beat_unit_q=excerpt.beat_unit_q, marked_bpm=float(excerpt.marked_bpm)
        ),
    )
