"""The tempo as played: bar by bar, its middle, steadiness, drift, and where the music stopped to think.

Tempi are in the score's beat unit a minute, times seconds. Stretching time is music-making, not error:
steadiness is given as a figure, and only stops well beyond the local beat are called hesitations. Robust
statistics (`statistics` names their papers); limits are common practice, no published source. Nothing is
raised; what too few bars cannot tell is None.
"""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from recordings.analysis.follow.events import Event
from recordings.analysis.follow.matched import MatchedForm
from recordings.analysis.follow.note_result import NoteResult
from recordings.analysis.measure.anchors import Anchor, anchors
from recordings.analysis.measure.hesitations import Hesitation, hesitations
from recordings.analysis.measure.phrasing import section_ends
from recordings.analysis.measure.printed_tempo import STEADY, PrintedTempo, stretches, under
from recordings.analysis.statistics import robust_slope, robust_spread, weighted_median
from repertoire.notation.score import Form

DRIFT_LEAST_S = 15.0
CHANGE_LEAST_BARS = 2  # to each side of a printed change, for it to be told
OPENING_BARS, OPENING_OF_BARS = 4, 12  # the opening, and how long a take must be to have one
CLOSING_BARS = 2  # may always broaden
STOP_BEFORE_JUMP = 2.0  # times the usual length of such a bar: longer is a stop (chosen, no published source)
FAR_OFF = 0.3  # of the middle tempo: such a bar was stopped in or misplaced, its beats are not counted


@dataclass(frozen=True, slots=True)
class BarTempo:
    """One bar as it came: seconds of the take, beats a minute, and how sure its onsets are (0 to 1)."""

    position: int
    bar: str
    pass_number: int
    start_s: float
    end_s: float
    bpm: float
    confidence: float
    printed_pace: float = 1.0  # printed tempo here against the tempo the form begins with
    # under a rit. or accel., or a mark that print does not relate to the first: no part of steadiness
    free: bool = False
    closing: bool = False  # among the last two bars of a section, which may always broaden

    @property
    def level_bpm(self) -> float:
        """The tempo with the print's own changes taken off."""
        return self.bpm / self.printed_pace


@dataclass(frozen=True, slots=True)
class TempoChange:
    """A change the print asks for, and the tempi (bpm) heard before and after it; `kind` as in print.

    For rit. and accel. `after_bpm` is the last bar of the change.
    """

    kind: str  # "new_tempo", "a_tempo", "slowing", "quickening"
    bar: str
    position: int
    start_s: float
    end_s: float
    text: str
    printed_ratio: float | None  # after to before as printed; None for words
    before_bpm: float
    after_bpm: float


@dataclass(frozen=True, slots=True)
class Tempo:
    """The tempo of one take in beats of `beat_unit_q` quarters a minute; `bars` in played order."""

    marked_bpm: float | None
    beat_unit_q: float
    median_bpm: float | None  # middle of the bars' tempi
    ratio_to_marked: float | None
    steadiness_percent: float | None  # robust spread of the bars' tempi around their trend
    drift_percent_per_minute: float | None  # above 0 rushing, below dragging
    bars: tuple[BarTempo, ...]
    hesitations: tuple[Hesitation, ...]
    changes: tuple[TempoChange, ...] = ()
    opening_bpm: float | None = None  # middle of the first four bars, print's own changes taken off
    rest_bpm: float | None = None  # the same of the bars after them
    overall_bpm: float | None = None  # printed beats over the time they took, every stretching included
    # What a musician would set the metronome to: beats over time, without stops and free or far-off bars.
    metronome_bpm: float | None = None


def measure(
    form: Form,
    events: tuple[Event, ...],
    matched: MatchedForm,
    notes: tuple[NoteResult, ...],
    *,
    marked_bpm: float | None,
    beat_unit_q: float,
    printed_q_per_minute: float | None = None,
) -> tuple[Tempo, list[Anchor]]:
    """The tempo block, and the anchors it rests on (rhythm needs them too).

    `marked_bpm` is asked of the player; `printed_q_per_minute` is the music's own where it begins unmarked.
    """
    points = anchors(form, events, matched, notes)
    printed = stretches(form, begins_q_per_minute=printed_q_per_minute)
    closing = _closing(form)
    bars = [
        replace(_with_print(b, printed), closing=b.position in closing)
        for b in _bar_tempi(form, matched, points, beat_unit_q)
    ]
    stops = hesitations(form, events, matched, points, printed)
    if not bars:
        return Tempo(marked_bpm, beat_unit_q, None, None, None, None, (), tuple(stops)), points
    stopped = {stop.position for stop in stops}
    level = [b for b in bars if not b.free] or bars
    median = weighted_median(
        np.array([b.level_bpm for b in level]),
        np.array([(b.end_s - b.start_s) * b.confidence for b in level]),
    )
    flowing = [b for b in level if b.position not in stopped]
    drift, steadiness = _trend(flowing, median)
    metronome = _metronome(flowing or level, median)
    opening, rest = _opening(level)
    return Tempo(
        marked_bpm,
        beat_unit_q,
        median,
        metronome / marked_bpm if marked_bpm else None,
        steadiness,
        drift,
        tuple(bars),
        tuple(stops),
        tuple(_changes(printed, bars)),
        opening,
        rest,
        _overall(form, matched, beat_unit_q),
        metronome,
    ), points


def _closing(form: Form) -> frozenset[int]:
    ends = section_ends(form)
    return frozenset(end - back for end in ends for back in range(CLOSING_BARS))


def _overall(form: Form, matched: MatchedForm, beat_unit_q: float) -> float | None:
    """Over the bars that end where the next one begins, the broadening before a repeat or a cut included.

    Apart stay the open last bar, attempts given up, and a stop before a jump: it is no part of the playing.
    """
    ends = [(bar, after) for bar, after in pairwise(matched.bars) if not bar.attempt_left]
    if not ends:
        return None
    quarters = np.array([form.score.measures[bar.measure_index].length_q for bar, _ in ends])
    seconds = np.array([after.start_s - bar.start_s for bar, after in ends])
    straight = np.array([after.position == bar.position + 1 for bar, after in ends])
    pace = seconds / quarters
    usual = np.median(pace[straight] if straight.any() else pace)
    counted = straight | (pace <= STOP_BEFORE_JUMP * usual)
    total_s = float(seconds[counted].sum())
    return 60.0 * float(quarters[counted].sum()) / beat_unit_q / total_s if total_s > 0 else None


def _metronome(bars: list[BarTempo], median: float) -> float:
    """Beats over seconds of the bars whose tempo is near the middle one, the broadening close apart."""
    body = bars[:-CLOSING_BARS] if len(bars) > OPENING_OF_BARS else bars
    near = [b for b in body if abs(b.level_bpm / median - 1) <= FAR_OFF and b.confidence > 0.3] or body
    seconds = np.array([b.end_s - b.start_s for b in near])
    return float(np.average([b.level_bpm for b in near], weights=seconds))


def _with_print(bar: BarTempo, printed: tuple[PrintedTempo, ...]) -> BarTempo:
    sign = under(printed, bar.position)
    if sign is None:
        return bar
    return replace(bar, printed_pace=sign.pace, free=sign.kind != STEADY or not sign.related)


def _opening(bars: list[BarTempo]) -> tuple[float | None, float | None]:
    """Middle tempi of the first bars and of the rest, the closing two bars apart: they may broaden."""
    sure = [b.level_bpm for b in bars if b.confidence > 0.3]
    if len(sure) < OPENING_OF_BARS:
        return None, None
    return float(np.median(sure[:OPENING_BARS])), float(np.median(sure[OPENING_BARS:-CLOSING_BARS]))


def _changes(printed: tuple[PrintedTempo, ...], bars: list[BarTempo]) -> list[TempoChange]:
    found = []
    for number, here in enumerate(printed[1:], start=1):
        steady = [p for p in printed[:number] if p.kind == STEADY]
        before = _bars_of(bars, steady[-1])[-8:] if steady else []
        inside = _bars_of(bars, here)
        wanted = 1 if here.kind != STEADY else CHANGE_LEAST_BARS
        if not here.marked or len(before) < CHANGE_LEAST_BARS or len(inside) < wanted:
            continue
        ratio = here.pace / steady[-1].pace
        kind = here.kind if here.kind != STEADY else "a_tempo" if abs(ratio - 1) < 0.005 else "new_tempo"
        after = inside[-1:] if here.kind != STEADY else inside[:8]
        found.append(
            TempoChange(
                kind, inside[0].bar, inside[0].position, before[-1].start_s, inside[-1].end_s, here.text,
                ratio if kind == "new_tempo" and here.related else None,
                float(np.median([b.bpm for b in before])), float(np.median([b.bpm for b in after])),
            )
        )  # fmt: skip
    return found


def _bars_of(bars: list[BarTempo], stretch: PrintedTempo) -> list[BarTempo]:
    return [b for b in bars if stretch.first <= b.position <= stretch.last and b.confidence > 0.3]


def _bar_tempi(form: Form, matched: MatchedForm, points: list[Anchor], beat_unit_q: float) -> list[BarTempo]:
    """Each bar from its own onsets and the next bar's first, by their robust slope."""
    found = []
    for visit, bar in enumerate(matched.bars):
        if bar.attempt_left:
            continue
        follows = visit + 1 < len(matched.bars) and matched.bars[visit + 1].position == bar.position + 1
        own = [p for p in points if p.visit == visit]
        after = [p for p in points if p.visit == visit + 1][:1] if follows else []
        chosen = own + after
        if len(chosen) < 2 or chosen[-1].q - chosen[0].q < 0.5 * beat_unit_q:
            continue
        seconds = chosen[-1].time_s - chosen[0].time_s
        if seconds <= 0:
            continue
        share = (chosen[-1].q - chosen[0].q) / max(form.score.measures[bar.measure_index].length_q, 1e-3)
        bpm = 60.0 * (chosen[-1].q - chosen[0].q) / beat_unit_q / seconds
        surety = min(1.0, share) * float(np.mean([p.confidence for p in chosen]))
        found.append(
            BarTempo(bar.position, bar.bar, bar.pass_number, bar.start_s, bar.end_s, bpm, round(surety, 3))
        )
    return found


def _trend(bars: list[BarTempo], median: float) -> tuple[float | None, float | None]:
    chosen = [b for b in bars if b.confidence > 0.2]
    if len(chosen) < 4:
        return None, None
    times = np.array([b.start_s for b in chosen])
    relative = np.array([b.level_bpm for b in chosen]) / median - 1
    drift, rest = None, relative - np.median(relative)
    if np.ptp(times) >= DRIFT_LEAST_S:
        slope = robust_slope(times, relative)
        drift = 6000.0 * slope
        rest = relative - slope * times
        rest = rest - np.median(rest)
    return drift, 100 * robust_spread(rest, center=0.0)
