"""From the scores of the takes to one row a question, with the goal it is held to."""

from collections.abc import Callable, Iterable
from dataclasses import replace

import numpy as np

from tests.accuracy.bench.figures import Figure

from . import plan
from .scoring import KindScore, NoteTold

BANDS = ((0.9, 1.01), (0.7, 0.9), (0.0, 0.7))
FEW_NOTES = 100
MOST_OFF_POINTS = 5.0
FIRST_NOTE_S = 0.1
FAULTLESS = (
    plan.STOPS,
    plan.CHORDS,
    plan.PIANO_12,
    plan.PIANO_6,
    plan.ANNOUNCED,
    plan.PLUCKED,
    plan.OTHER_PLAYERS,
)
FOLLOWED = 100 * 8 / 9


def goals(scores: list[KindScore]) -> list[Figure]:
    """Every question in its order; the goals are those the work was begun with."""

    def of(*kinds: str) -> list[KindScore]:
        return [score for score in scores if score.kind in kinds]

    rows = []
    for kind in (plan.STOPS, plan.CHORDS, plan.PIANO_12, plan.PIANO_6):
        rows.append(_share(f"{kind}: takes followed to the end", of(kind), lambda s: s.followed, FOLLOWED))
        rows.append(_on_time(f"{kind}: onsets within 50 ms", of(kind)))
    told = [note.status == "wrong_pitch" for note in _wrong(of(plan.STOPS_WRONG))]
    rows += [
        _percent(f"{plan.STOPS_WRONG}: told at their place", told, 97.0),
        _share("other pages refused", of(plan.WRONG_PAGE), lambda s: s.refused, 100.0),
        _share("a theme against its double, and the other way round, refused", of(plan.DOUBLE),
               lambda s: s.refused, 100.0),
        _share("a piano 12 dB below told as another player", of(plan.PIANO_12), _accompanied, None),
        _share("a piano 6 dB below told as another player", of(plan.PIANO_6), _accompanied, None),
        _share("announced: bars and first note right", of(plan.ANNOUNCED), _begun_right, 100.0),
        _share("announced: the talk told", of(plan.ANNOUNCED), lambda s: "talking" in s.checks_raised, 100.0),
        _share("plucked: the last long note heard", of(plan.PLUCKED), lambda s: s.last_heard, 100.0),
        _false(of(*FAULTLESS)),
        _worst_band("confidence, single notes: worst band off by", notes(scores, together=False)),
        _worst_band("confidence, notes struck together: worst band off by", notes(scores, together=True)),
    ]  # fmt: skip
    return rows


def notes(scores: Iterable[KindScore], *, together: bool) -> list[NoteTold]:
    return [note for score in scores for note in score.notes if note.together == together]


def bands(told: list[NoteTold]) -> list[tuple[str, int, float, float]]:
    """(band, notes, confidence told on average, share right) in per cent; bands without notes left out."""
    rows = []
    for low, high in BANDS:
        some = [note for note in told if low <= note.confidence < high]
        if some:
            rows.append((
                f"{low:.1f} to {min(high, 1.0):.1f}", len(some),
                100.0 * float(np.mean([note.confidence for note in some])),
                100.0 * float(np.mean([note.right for note in some])),
            ))  # fmt: skip
    return rows


def _wrong(scores: list[KindScore]):
    return [note for score in scores if score.scored for note in score.scored.notes if not note.played_right]


def _accompanied(score: KindScore) -> bool:
    return "players" in score.checks_raised


def _begun_right(score: KindScore) -> bool:
    return score.followed and score.first_off_s is not None and abs(score.first_off_s) <= FIRST_NOTE_S


def _false(scores: list[KindScore]) -> Figure:
    """Faults of notes, time or form in takes that have none; intonation is astray in every one."""
    told = sum(len(score.kinds_told) for score in scores)
    false = sum(len(score.scored.faults_told) for score in scores if score.scored)
    question = "findings of faults nobody played, of all told on takes without any"
    if not told:
        return Figure(question, "at most 2 %", "not measured", None)
    share = 100.0 * false / told
    return Figure(question, "at most 2 %", f"{share:.1f} % ({false} of {told})", share <= 2.0, (share,))


def _worst_band(question: str, told: list[NoteTold]) -> Figure:
    """Bands of `FEW_NOTES` and more."""
    goal = f"at most {MOST_OFF_POINTS:g} points"
    off = [abs(said - right) for _band, count, said, right in bands(told) if count >= FEW_NOTES]
    if not off:
        return Figure(question, goal, "too few notes", None)
    return Figure(question, goal, f"{max(off):.1f} points", max(off) <= MOST_OFF_POINTS, (max(off),))


def _share(
    question: str, scores: list[KindScore], holds: Callable[[KindScore], bool], goal: float | None
) -> Figure:
    return _percent(question, [holds(score) for score in scores], goal)


def _on_time(question: str, scores: list[KindScore]) -> Figure:
    return _percent(question, [n.on_time for s in scores if s.scored for n in s.scored.notes], None)


def _percent(question: str, flags: list[bool], goal: float | None) -> Figure:
    wanted = "" if goal is None else f"at least {goal:.3g} %"
    if not flags:
        return Figure(question, wanted, "not measured", None)
    share = 100.0 * float(np.mean(flags))
    met = None if goal is None else share >= goal - 0.05
    figure = Figure(question, wanted, f"{share:.1f} % ({sum(flags)} of {len(flags)})", met, (share,))
    return replace(figure, more_is_better=True)
