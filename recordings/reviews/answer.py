"""A released answer as its player reads it: a card a remark, with its bars; strengths apart."""

from dataclasses import dataclass
from urllib.parse import urlencode

from recordings.models import Remark, Review, Take

MOST_DRAWN = 3  # stretches of music in one card
PRACTICE_SHARE = 0.7  # of the mark: well under it; common practice, no published source
CLOSE_S = 0.05  # bars nearer than this follow each other

Bars = tuple[str, str]  # printed labels of the first and the last


@dataclass(frozen=True, slots=True)
class Card:
    remark: Remark
    spans: list[list[float]]  # [start, end] in seconds of the take, one after the other
    drawings: tuple[str, ...]  # queries of the engraved music
    practice: str  # query of the music's page; empty without printed bars
    sounded: str  # query of the times of its first bars
    first_bar: str


@dataclass(frozen=True, slots=True)
class Answer:
    cards: tuple[Card, ...]
    keep: tuple[Remark, ...]


def released_review(take: Take) -> Review | None:
    """The take's review where it is released; None while there is nothing to be seen."""
    review = (
        Review.objects.released()
        .filter(take=take)
        .select_related("reviewer", "take__analysis", "take__requirement__excerpt", "take__entry__student")
    )
    return review.prefetch_related("marks__caption", "remarks").first()


def answer_of(review: Review) -> Answer:
    remarks = review.shown_remarks
    played = (review.take.analysis.result or {}).get("bars", [])
    printed = [measure.number for measure in review.take.requirement.excerpt.score.measures]
    return Answer(
        cards=tuple(_card(remark, review, played, printed) for remark in remarks if not remark.is_strength),
        keep=tuple(remark for remark in remarks if remark.is_strength),
    )


def _card(remark: Remark, review: Review, played: list[dict], printed: list[str]) -> Card:
    requirement = review.take.requirement
    groups = groups_of(remark.bars, printed)
    if not groups:
        return Card(remark, remark.spans, (), "", "", "")
    first, last = groups[0]
    marked = float(requirement.marked_bpm)
    slowly = {"bpm": round(marked * PRACTICE_SHARE), "target": f"{marked:g}", "loop": 1}
    stretch = {"from": first, "to": last}
    kept = {"form": requirement.order_line} if requirement.order_line else {}
    return Card(
        remark,
        _spans(remark, groups, played, printed),
        tuple(urlencode({"from": one, "to": other}) for one, other in groups[:MOST_DRAWN]),
        urlencode({**kept, **stretch, **slowly}),
        urlencode({**kept, **stretch, "bpm": f"{marked:g}"}),
        first,
    )


def groups_of(bars: str, printed: list[str]) -> list[Bars]:
    """ "2, 5-8" as [("2", "2"), ("5", "8")]; what names no printed bar is passed over."""
    found = []
    for part in (part.strip() for part in bars.split(",")):
        first, _, last = part.partition("-") if part not in printed else (part, "", "")
        if first.strip() in printed and (last.strip() or first.strip()) in printed:
            found.append((first.strip(), last.strip() or first.strip()))
    return found


def _spans(remark: Remark, groups: list[Bars], played: list[dict], printed: list[str]) -> list[list[float]]:
    """Every place by itself. A remark on bars that lie apart is heard bar by bar, not from first to last."""
    whole = remark.spans
    if len(whole) != 1 or len(groups) < 2:
        return whole
    [[start_s, end_s]] = whole
    named = {
        label for first, last in groups for label in printed[printed.index(first) : printed.index(last) + 1]
    }
    inside = [
        [bar["start_s"], bar["end_s"]]
        for bar in played
        if bar["bar"] in named and None not in (bar["start_s"], bar["end_s"])
        if bar["start_s"] >= start_s - CLOSE_S and bar["end_s"] <= end_s + CLOSE_S
    ]
    return _joined(inside) or whole


def _joined(spans: list[list[float]]) -> list[list[float]]:
    joined: list[list[float]] = []
    for start_s, end_s in sorted(spans):
        if joined and start_s - joined[-1][1] <= CLOSE_S:
            joined[-1][1] = end_s
        else:
            joined.append([start_s, end_s])
    return joined
