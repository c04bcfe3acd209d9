"""Findings about tempo, rhythm, dynamics and articulation, and what is secure.

Limits: common practice, no published source, unless they say otherwise. Nothing is raised.
"""

from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from recordings.analysis import sentences
from recordings.analysis.follow.matched import MatchedForm
from recordings.analysis.measure.articulation import Articulation
from recordings.analysis.measure.dynamics import FLAT_RANGE_DB, Dynamics
from recordings.analysis.measure.measured import Measured
from recordings.analysis.measure.rhythm import Rhythm, Run
from recordings.analysis.measure.tempo import BarTempo, Tempo
from recordings.analysis.settings import AnalysisSettings
from recordings.analysis.statistics import rank_correlation_with_order, robust_spread
from recordings.analysis.tell.finding import Finding, Heard
from repertoire.notation.sentence import Sentence

DRIFT_PERCENT = 6.0  # of change, before it is called rushing or dragging
DRIFT_ORDER = 0.5  # rank correlation of the bars' tempi with time
STRETCH_PERCENT, STRETCH_BARS = 12.0, 3
UNEVEN_PERCENT = 22.0  # a run's unevenness without blur; clean made takes stay below 14, November 2026
RUN_NOTE_S = 0.45  # longer notes make no run: how they follow each other is phrasing
UNEVEN_NOTES = 12  # in all uneven runs together: a flourish of eight is free
SURE_NOTES, SURE_SHARE = 8, 0.75  # onsets a finding of unevenness must rest on
STACCATO_LONG = 0.92  # rooms lengthen every note
PRAISED_NOTES, PRAISED_SHARE = 12, 0.5  # whose pitch was measured, before intonation is called secure
TEMPO_NEAR_PERCENT = 6.0  # of the mark, where the studio set no range
HAIRPINS = {
    (True, False): sentences.FIND_CRESCENDO,
    (True, True): sentences.FIND_CRESCENDO_AGAINST,
    (False, False): sentences.FIND_DIMINUENDO,
    (False, True): sentences.FIND_DIMINUENDO_AGAINST,
}  # by whether it rises, and whether the playing went against it


def made(
    kind: str,
    text: Sentence,
    weight: float,
    *,
    bars: Sequence[str] = (),
    start_s: float | None = None,
    end_s: float | None = None,
    position: int | None = None,
    **more: Any,
) -> Finding:
    """A finding about these bars, given by their printed labels in played order; seconds of the take."""
    labels = tuple(dict.fromkeys(bars))
    words = "" if not labels else labels[0] if len(labels) == 1 else f"{labels[0]}-{labels[-1]}"
    return Finding(kind, words, labels, position, start_s, end_s, text, weight, **more)


def named_place(bars: Iterable[str]) -> Sentence:
    """ "Bar 3" or "Bars 3 to 7" for printed labels in played order."""
    labels = list(dict.fromkeys(bars))
    if len(labels) == 1:
        return sentences.BAR_SINGLE(bar=labels[0])
    return sentences.BAR_RANGE(first=labels[0], last=labels[-1])


def tempo(matched: MatchedForm, measured: Tempo, *, settings: AnalysisSettings) -> list[Finding]:
    """Beside the mark, rushing or dragging, stretches beside the middle tempo, and every stop."""
    found: list[Finding] = []
    if measured.median_bpm is None:
        return found
    found += _against_mark(measured, settings)
    found += _drift(measured)
    found += tempo_stretches(measured)
    for stop in measured.hesitations:
        code = sentences.FIND_BEGUN_AGAIN if stop.begun_again else sentences.FIND_HESITATION
        text = code(place=named_place([stop.bar]), seconds=round(stop.seconds, 1))
        found.append(
            made(
                "restart" if stop.begun_again else "hesitation",
                text,
                14.0 + 12.0 * min(stop.seconds, 3.0),
                bars=[stop.bar],
                start_s=max(stop.time_s - 2.5, 0),
                end_s=stop.time_s + stop.seconds + 2,
                position=stop.position,
                evidence={"seconds": round(stop.seconds, 2)},
            )
        )
    return found


def _against_mark(measured: Tempo, settings: AnalysisSettings) -> list[Finding]:
    marked, bpm = measured.marked_bpm, measured.metronome_bpm
    if not marked or bpm is None:
        return []
    low = settings.tempo_low_bpm or marked * (1 - TEMPO_NEAR_PERCENT / 100)
    high = settings.tempo_high_bpm or marked * (1 + TEMPO_NEAR_PERCENT / 100)
    if low * 0.985 <= bpm <= high * 1.015:
        return []
    code = sentences.FIND_SLOW if bpm < low else sentences.FIND_FAST
    text = code(bpm=round(bpm), percent=round(100 * bpm / marked), marked=round(marked))
    # clean below the mark outranks untidy at the mark: a slow take is told, not shouted
    outside = abs(np.log(bpm / (low if bpm < low else high)))
    kind = "tempo_slow" if bpm < low else "tempo_fast"
    return [made(kind, text, 18.0 + 60.0 * min(outside, 0.6), evidence={"ratio": round(bpm / marked, 3)})]


def _drift(measured: Tempo) -> list[Finding]:
    """The last bars against the first half, where the change is steady and well above the usual unrest.

    The closing two bars may always broaden; a change that begins late counts as much as a slow one.
    """
    bars = [b for b in measured.bars if b.confidence > 0.3 and not b.free]
    if len(bars) < 10:
        return []
    bpm = np.array([b.level_bpm for b in bars])
    half, tail = len(bars) // 2, max(3, len(bars) // 5)
    first = float(np.median(bpm[:half]))
    ends = [bpm[-tail:], bpm[-tail - 2 : -2]]
    last = min((float(np.median(end)) for end in ends), key=lambda value: abs(value / first - 1))
    change = 100 * (last / first - 1)
    unrest = 100 * robust_spread(bpm[:half] / first, center=1.0)
    order = rank_correlation_with_order(bpm[half // 2 : -2])
    if abs(change) < max(DRIFT_PERCENT, 2.0 * unrest) or order * change <= 0 or abs(order) < DRIFT_ORDER:
        return []
    code = sentences.FIND_RUSHING if change > 0 else sentences.FIND_DRAGGING
    kind = "rushing" if change > 0 else "dragging"
    # from the first bar after which the tempo no longer comes back
    back = np.flatnonzero((bpm / first - 1) * np.sign(change) < 0.0025 * abs(change))
    begin = min(int(back[-1]) + 1 if back.size else 0, len(bars) - tail)
    text = code(bar=bars[begin].bar, first=round(first), last=round(last))
    return [
        made(
            kind,
            text,
            20.0 + 2.0 * abs(change),
            bars=[b.bar for b in bars[begin:]],
            start_s=bars[begin].start_s,
            end_s=bars[-1].end_s,
            position=bars[begin].position,
            evidence={"change_percent": round(change, 1)},
        )
    ]


def tempo_stretches(measured: Tempo) -> list[Finding]:
    """Three bars or more well beside the middle tempo; the last two of a section may always broaden."""
    bars = [b for b in measured.bars if b.confidence > 0.3 and not b.free]
    if len(bars) < 8 or measured.median_bpm is None:
        return []
    smooth = np.array([b.level_bpm for b in bars])
    smooth = np.array([np.median(smooth[max(0, i - 1) : i + 2]) for i in range(smooth.size)])
    off = 100 * (smooth / measured.median_bpm - 1)
    sign = np.where(np.abs(off) >= STRETCH_PERCENT, np.sign(off), 0)
    closing = np.array([b.closing for b in bars])
    sign = np.where(closing & (sign < 0), 0, sign)
    found = []
    start = 0
    for i in range(1, len(bars) + 1):
        if i < len(bars) and sign[i] == sign[start]:
            continue
        if sign[start] and STRETCH_BARS <= i - start <= len(bars) // 2:
            found.append(_tempo_stretch(bars[start:i], smooth[start:i], measured.median_bpm))
        start = i
    return found


def _tempo_stretch(bars: Sequence[BarTempo], bpm: np.ndarray, median: float) -> Finding:
    value = float(np.median(bpm))
    code = sentences.FIND_STRETCH_FAST if value > median else sentences.FIND_STRETCH_SLOW
    labels = [b.bar for b in bars]
    text = code(place=named_place(labels), bpm=round(value), median=round(median))
    off = 100 * abs(value / median - 1)
    return made(
        "tempo_stretch", text, 6.0 + 1.2 * off, bars=labels, start_s=bars[0].start_s, end_s=bars[-1].end_s,
        position=bars[0].position, evidence={"bpm": round(value, 1)},
    )  # fmt: skip


def _is_uneven(run: Run) -> bool:
    """Only where most onsets can be relied on, and enough of them; slow notes are placed freely."""
    enough = run.sure_count >= max(SURE_NOTES, SURE_SHARE * run.note_count)
    return enough and run.note_s <= RUN_NOTE_S and run.unevenness_percent >= UNEVEN_PERCENT


def rhythm(matched: MatchedForm, measured: Rhythm) -> list[Finding]:
    """All uneven runs as one finding at the worst of them."""
    uneven = [run for run in measured.runs if _is_uneven(run)]
    if sum(run.sure_count for run in uneven) < UNEVEN_NOTES:
        return []
    worst = max(uneven, key=lambda run: run.unevenness_percent)
    place = named_place([worst.bar, worst.end_bar])
    code = sentences.FIND_UNEVEN_AND_MORE if len(uneven) > 1 else sentences.FIND_UNEVEN
    text = code.of(place=place, count=worst.sure_count, more=len(uneven) - 1)
    finding = made(
        "uneven_run",
        text,
        8.0 + 0.6 * worst.unevenness_percent + 4.0 * min(len(uneven), 4),
        bars=[worst.bar, worst.end_bar],
        start_s=worst.start_s,
        end_s=worst.end_s,
        position=worst.position,
        note_count=sum(run.sure_count for run in uneven),
        evidence={"unevenness_percent": round(worst.unevenness_percent, 1), "runs": len(uneven)},
        places=tuple(Heard(run.bar, max(run.start_s - 0.5, 0.0), run.end_s + 0.3) for run in uneven),
    )
    return [finding]


def dynamics(measured: Dynamics) -> list[Finding]:
    """Printed crescendos and diminuendos that the levels do not follow."""
    found = []
    for hairpin in measured.hairpins:
        rising = hairpin.kind == "crescendo"
        if hairpin.heard == ("rose" if rising else "fell") or hairpin.note_count < 5:
            continue
        against = hairpin.heard == ("fell" if rising else "rose")
        code = HAIRPINS[rising, against]
        text = code(place=named_place(hairpin.bar_list), change=round(hairpin.change_db))
        found.append(
            made(
                "hairpin",
                text,
                16.0 if against else 11.0,
                bars=hairpin.bar_list,
                start_s=hairpin.start_s,
                end_s=hairpin.end_s,
                position=hairpin.position,
                note_count=hairpin.note_count,
                certainty="unsure" if measured.perhaps_automatic_gain else "sure",
                evidence={"change_db": round(hairpin.change_db, 1)},
            )
        )
    return found


def articulation(measured: Articulation) -> list[Finding]:
    """Staccato notes that sound nearly as long as they are apart."""
    ratio = measured.staccato_ratio
    if ratio is None or ratio < STACCATO_LONG:
        return []
    text = sentences.FIND_STACCATO(percent=round(100 * ratio))
    return [made("staccato", text, 12.0, certainty="unsure", evidence={"ratio": round(ratio, 2)})]


def strengths(matched: MatchedForm, measured: Measured, *, settings: AnalysisSettings) -> list[Finding]:
    """What is secure, said after the faults."""
    found = []
    share, count = measured.intonation.within_tolerance_share, measured.intonation.note_count
    enough = count >= max(PRAISED_NOTES, PRAISED_SHARE * measured.note_count)
    if share is not None and enough and share >= 0.8:
        code = sentences.STRENGTH_PITCH if share < 1.0 else sentences.STRENGTH_PITCH_ALL
        text = code.of(percent=int(100 * share), cents=round(settings.tolerance_cents))
        found.append(made("strength_intonation", text, 3.0, strength=True,
                           note_count=count))  # fmt: skip
    if matched.complete and measured.wrong_count + measured.missing_count == 0:
        found.append(made("strength_complete", sentences.STRENGTH_COMPLETE(), 2.5, strength=True))
    steady, bpm = measured.tempo.steadiness_percent, measured.tempo.metronome_bpm
    wanders = bool(_drift(measured.tempo)) or measured.restart_count or measured.tempo.hesitations
    if steady is not None and bpm is not None and steady <= 4.0 and not wanders:
        text = sentences.STRENGTH_STEADY(bpm=round(bpm))
        found.append(made("strength_steady", text, 2.0, strength=True))
    hairpins = measured.dynamics.hairpins
    clear = [h for h in hairpins if h.heard == ("rose" if h.kind == "crescendo" else "fell")]
    if (
        len(hairpins) >= 2
        and len(clear) == len(hairpins)
        and (measured.dynamics.range_db or 0) > FLAT_RANGE_DB
    ):
        found.append(made("strength_dynamics", sentences.STRENGTH_HAIRPINS(), 1.5, strength=True))
    return found
