"""What a teacher wants to know of a take before opening it: tempo, share, gravest finding, what changed."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Count, Sum
from django.utils.translation import gettext as _

from recordings.models import Analysis, Remark, Review, Take
from recordings.models.take import TakeQuerySet
from repertoire.wording.words import short_number

# What changed by less may be the measuring's own unrest (README, "How well").
TEMPO_CHANGE, RIGHT_CHANGE, IN_TUNE_CHANGE = 0.03, 0.02, 0.05


@dataclass(frozen=True, slots=True)
class QueueLine:
    """`bpm` and `share_percent` are None where nothing could be measured."""

    take: Take
    bpm: float | None
    in_range: bool
    share_percent: int | None
    gravest: Remark | None
    change: str  # since the last answered take; empty where there is none before


@dataclass(frozen=True, slots=True)
class QueueTotal:
    count: int
    seconds: float


def total_of(takes: TakeQuerySet) -> QueueTotal:
    """How many takes, and how many seconds of sound they are together."""
    found = takes.order_by().aggregate(count=Count("pk"), seconds=Sum("analysis__duration_s"))
    return QueueTotal(found["count"], found["seconds"] or 0.0)


def lines_of(takes: Sequence[Take]) -> list[QueueLine]:
    """A line a take, in the given order, with two queries for all of them."""
    gravest, former = _gravest(takes), _last_answered(takes)
    return [
        _line(take, gravest.get(take.pk), former.get((take.entry_id, take.requirement_id))) for take in takes
    ]


def _line(take: Take, gravest: Remark | None, former: Analysis | None) -> QueueLine:
    found = take.analysis
    bpm, share = found.metronome_bpm, found.share_played
    low, high = float(take.requirement.low_bpm), float(take.requirement.high_bpm)
    return QueueLine(
        take=take,
        bpm=bpm,
        in_range=bpm is not None and low <= bpm <= high,
        share_percent=None if share is None else round(100 * share),
        gravest=gravest,
        change=what_changed(former, found) if former else "",
    )


def what_changed(former: Analysis, now: Analysis) -> str:
    """ "tempo 92 after 84, notes right 98 % after 94 %", or that nothing clearly did."""
    parts = []
    then, bpm = former.metronome_bpm, now.metronome_bpm
    if then and bpm and abs(bpm / then - 1) > TEMPO_CHANGE:
        tempos = {"now": short_number(round(bpm)), "then": short_number(round(then))}
        parts.append(_("tempo %(now)s after %(then)s") % tempos)
    shares = (
        (_("notes right %(now)s %% after %(then)s %%"), former.right_share, now.right_share, RIGHT_CHANGE),
        (_("in tune %(now)s %% after %(then)s %%"), former.in_tune_share, now.in_tune_share, IN_TUNE_CHANGE),
    )
    for template, before, after, least in shares:
        if before is not None and after is not None and abs(after - before) >= least:
            parts.append(template % {"now": round(100 * after), "then": round(100 * before)})
    return ", ".join(parts) or _("much as before")


def _gravest(takes: Sequence[Take]) -> dict[int, Remark]:
    """By take, the drafted remark that weighs most of those not left out; praise is none."""
    open_to_send = [Remark.Verdict.PROPOSED, Remark.Verdict.KEPT]
    remarks = Remark.objects.filter(
        review__take__in=[take.pk for take in takes], finding__isnull=False, verdict__in=open_to_send
    )
    by_take: dict[int, list[Remark]] = defaultdict(list)
    for remark in remarks.select_related("review").only("finding", "own_text", "bars", "review__take_id"):
        if not remark.is_strength:
            by_take[remark.review.take_id].append(remark)
    return {pk: max(found, key=_weight) for pk, found in by_take.items()}


def _weight(remark: Remark) -> float:
    return (remark.finding or {}).get("weight", 0.0)


def _last_answered(takes: Sequence[Take]) -> dict[tuple[int, int], Analysis]:
    """By entry and requirement, what was measured of the last take with a released answer."""
    answered = Take.objects.filter(
        entry__in={take.entry_id for take in takes},
        requirement__in={take.requirement_id for take in takes},
        review__state=Review.State.RELEASED,
        review__again="",
    )
    rows = answered.exclude(pk__in=[take.pk for take in takes]).select_related("analysis")
    rows = rows.defer("analysis__result").order_by("uploaded_at", "pk")
    return {(take.entry_id, take.requirement_id): take.analysis for take in rows}
