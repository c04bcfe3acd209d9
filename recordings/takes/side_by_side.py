"""Two takes of one requirement beside each other: the same bar of the same pass, where it sounds in each."""

from collections.abc import Sequence
from dataclasses import dataclass

from recordings.models import Analysis, Take
from studio.models import Entry, Requirement

Span = tuple[float, float]  # seconds of the take


@dataclass(frozen=True, slots=True)
class BarPair:
    """One printed bar as it was played; a span is None where that take does not have it."""

    bar: str
    measure_id: str
    pass_number: int
    one: Span | None
    other: Span | None


def comparable(entry: Entry, requirement: Requirement) -> list[Take]:
    """The measured takes that can be followed in the music, the earliest first."""
    takes = Take.objects.filter(entry=entry, requirement=requirement, analysis__state=Analysis.State.DONE)
    followed = takes.filter(analysis__unusable="").select_related("analysis").defer("analysis__result")
    return list(followed.order_by("uploaded_at", "pk"))


def can_be_followed(take: Take) -> bool:
    """The same of one take, with its analysis at hand."""
    analysis = getattr(take, "analysis", None)
    return bool(analysis and analysis.state == Analysis.State.DONE and not analysis.unusable)


def chosen(takes: Sequence[Take], one: str, other: str) -> tuple[Take, Take]:
    """The two named by their numbers; the first and the latest where none or the same are named."""
    by_number = {str(take.pk): take for take in takes}
    first, second = by_number.get(one, takes[0]), by_number.get(other, takes[-1])
    return (first, second) if first != second else (takes[0], takes[-1])


def bars_side_by_side(one: Sequence[dict], other: Sequence[dict]) -> list[BarPair]:
    """The bars of two analysis documents in the order they are printed and passed.

    An attempt that was left and begun again gives way to the one that went on.
    """
    left, right = _spans(one), _spans(other)
    named = {_key(bar): bar for bar in (*one, *other)}
    order = list(dict.fromkeys(_key(bar) for bar in sorted((*one, *other), key=lambda bar: bar["position"])))
    return [
        BarPair(named[key]["bar"], key[0], key[1], left.get(key), right.get(key))
        for key in order
        if key in left or key in right
    ]


def _key(bar: dict) -> tuple[str, int]:
    return bar["measure_id"], bar["pass"]


def _spans(bars: Sequence[dict]) -> dict[tuple[str, int], Span]:
    spans: dict[tuple[str, int], Span] = {}
    for bar in bars:
        heard = bar["start_s"] is not None and bar["end_s"] is not None
        if heard and not bar["attempt_left"]:
            spans[_key(bar)] = (bar["start_s"], bar["end_s"])
    return spans
