"""Findings about printed signs that were not heard: changes of tempo, figures, levels, accents, slurs."""

from itertools import pairwise

import numpy as np

from recordings.analysis import sentences
from recordings.analysis.measure.articulation import Articulation
from recordings.analysis.measure.dynamics import Dynamics, LevelMeasured
from recordings.analysis.measure.rhythm import DottedPair, Rhythm
from recordings.analysis.measure.tempo import Tempo, TempoChange
from recordings.analysis.statistics import robust_spread
from recordings.analysis.tell.finding import SURE, UNSURE, Finding
from recordings.analysis.tell.music_findings import made, named_place, tempo_stretches

# All limits: common practice, no published source; wide enough that clean made takes stay silent.
CHANGE_OFF = 0.12  # of the printed ratio
RIT_LEAST = 0.04  # of the tempo before, until a rit. or accel. counts as heard
BACK_OFF = 0.10  # of the tempo before, by which an a tempo may miss it
OPENING_PERCENT = 8.0
FIGURE_LEAST = 4  # figures of one kind
PAIR_LIMITS = {3.0: (2.3, 4.6), 2.0: (1.45, 2.8), 1 / 3: (1 / 4.6, 1 / 2.3)}
TRIPLET_SHARE = 0.07  # beside a third
LEVELS = ("ppp", "pp", "p", "mp", "mf", "f", "ff", "fff")
LEVEL_STEPS, LEVEL_DB = 2, 1.0  # printed levels this far apart must differ by this much
ACCENT_LEAST, ACCENT_DB = 4, 0.5
SLUR_APART = 0.75  # of the time to the next note


def tempo_changes(measured: Tempo) -> list[Finding]:
    """Printed changes of tempo that were missed, and an opening beside the rest."""
    found = [finding for change in measured.changes if (finding := _change(change))]
    return found + _opening(measured)


def _change(change: TempoChange) -> Finding | None:
    ratio = change.after_bpm / change.before_bpm
    numbers = {"before": round(change.before_bpm), "after": round(change.after_bpm)}
    certainty = SURE
    if change.kind == "new_tempo":
        if change.printed_ratio is None or abs(np.log(ratio / change.printed_ratio)) < CHANGE_OFF:
            return None
        asked = round(change.before_bpm * change.printed_ratio)
        code, weight, numbers = sentences.FIND_NEW_TEMPO, 18.0, {**numbers, "asked": asked}
    elif change.kind == "a_tempo":
        if abs(ratio - 1) < BACK_OFF:
            return None
        code, weight = sentences.FIND_A_TEMPO, 12.0
    else:
        towards = 1 - ratio if change.kind == "slowing" else ratio - 1
        if towards >= RIT_LEAST:
            return None
        code, weight, certainty = sentences.FIND_NO_CHANGE, 7.0, UNSURE
    text = code.of(place=named_place([change.bar]), words=change.text, **numbers)
    return made(
        "tempo_change", text, weight, bars=[change.bar], start_s=change.start_s, end_s=change.end_s,
        position=change.position, certainty=certainty, evidence={"ratio": round(ratio, 3)},
    )  # fmt: skip


def _opening(measured: Tempo) -> list[Finding]:
    """The opening beside the rest, unless the whole take drifts or the bars are told already."""
    reported = {finding.position for finding in tempo_stretches(measured)}
    if not measured.opening_bpm or not measured.rest_bpm or 0 in reported:
        return []
    change = 100 * (measured.opening_bpm / measured.rest_bpm - 1)
    bars = [b for b in measured.bars if b.confidence > 0.3 and not b.free]
    later = np.array([b.level_bpm for b in bars[4:]])
    unrest = 100 * robust_spread(later / measured.rest_bpm, center=1.0)
    half = len(later) // 2
    drifted = 100 * abs(np.median(later[half:]) / np.median(later[:half]) - 1) > OPENING_PERCENT / 2
    if abs(change) < max(OPENING_PERCENT, 2 * unrest) or drifted:
        return []
    code = sentences.FIND_OPENING_SLOW if change < 0 else sentences.FIND_OPENING_FAST
    text = code(
        place=named_place([bars[0].bar, bars[3].bar]),
        first=round(measured.opening_bpm), rest=round(measured.rest_bpm),
    )  # fmt: skip
    return [
        made(
            "opening", text, 5.0 + abs(change), bars=[bars[0].bar, bars[3].bar], start_s=bars[0].start_s,
            end_s=bars[3].end_s, position=bars[0].position, evidence={"percent": round(change, 1)},
        )
    ]  # fmt: skip


def figures(measured: Rhythm) -> list[Finding]:
    """Dotted, long-short and triplet figures whose middle shape is another than printed."""
    found = []
    for printed, limits in PAIR_LIMITS.items():
        same = [p for p in measured.dotted if abs(p.printed - printed) < 0.01]
        if len(same) >= FIGURE_LEAST:
            found += _pairs(same, printed, limits)
    return found + _triplets(measured)


def _pairs(same: list[DottedPair], printed: float, limits: tuple[float, float]) -> list[Finding]:
    ratio = float(np.median([p.ratio for p in same]))
    if limits[0] < ratio < limits[1]:
        return []
    softer = ratio <= limits[0] if printed > 1 else ratio >= limits[1]
    code = {
        (3.0, True): sentences.FIND_DOTTED_SOFT, (3.0, False): sentences.FIND_DOTTED_SHARP,
        (2.0, True): sentences.FIND_LONG_SHORT_EVEN, (2.0, False): sentences.FIND_LONG_SHORT_SHARP,
        (1 / 3, True): sentences.FIND_SNAP_SOFT, (1 / 3, False): sentences.FIND_SNAP_SHARP,
    }[printed, softer]  # fmt: skip
    bars = [same[0].bar, same[-1].bar]
    return [
        made(
            "dotted", code(place=named_place(bars)), 30.0, bars=bars, start_s=same[0].time_s,
            end_s=same[-1].time_s + 1, note_count=2 * len(same), evidence={"ratio": round(ratio, 2)},
        )
    ]  # fmt: skip


def _triplets(measured: Rhythm) -> list[Finding]:
    if len(measured.triplets) < FIGURE_LEAST:
        return []
    shares = np.median([t.shares for t in measured.triplets], axis=0)
    longest = int(np.argmax(shares))
    if shares[longest] - 1 / 3 < TRIPLET_SHARE:
        return []
    code = (sentences.FIND_TRIPLETS_FIRST, sentences.FIND_TRIPLETS_SECOND, sentences.FIND_TRIPLETS_THIRD)[
        longest
    ]
    bars = [measured.triplets[0].bar, measured.triplets[-1].bar]
    return [
        made(
            "triplets", code(place=named_place(bars)), 22.0, bars=bars,
            start_s=measured.triplets[0].time_s, end_s=measured.triplets[-1].time_s + 1,
            note_count=3 * len(measured.triplets), evidence={"share": round(float(shares[longest]), 3)},
        )
    ]  # fmt: skip


def levels(measured: Dynamics) -> list[Finding]:
    """The printed step between two levels that was heard least, and accents that do not stand out."""
    certainty = UNSURE if measured.perhaps_automatic_gain else SURE
    missed = [pair for pair in pairwise(measured.levels) if _level_missed(*pair)]
    found = _accents(measured)
    if not missed:
        return found
    before, after = missed[0]
    text = sentences.FIND_LEVELS(
        first=before.text, first_bar=before.bar, second=after.text, second_bar=after.bar,
        change=round(after.relative_db - before.relative_db),
    )  # fmt: skip
    weight = 11.0 + 2.0 * min(len(missed), 4)
    return [
        *found,
        made(
            "levels", text, weight, bars=[before.bar, after.bar], position=before.position,
            note_count=before.note_count + after.note_count, certainty=certainty,
            evidence={"change_db": round(after.relative_db - before.relative_db, 1), "places": len(missed)},
        ),
    ]  # fmt: skip


def _level_missed(before: LevelMeasured, after: LevelMeasured) -> bool:
    if before.text not in LEVELS or after.text not in LEVELS or after.position <= before.position:
        return False
    asked = LEVELS.index(after.text) - LEVELS.index(before.text)
    louder = (after.relative_db - before.relative_db) * np.sign(asked)
    return abs(asked) >= LEVEL_STEPS and louder < LEVEL_DB and min(before.note_count, after.note_count) >= 6


def _accents(measured: Dynamics) -> list[Finding]:
    louder = [a.above_neighbours_db for a in measured.accents]
    if len(louder) < ACCENT_LEAST or np.median(louder) >= ACCENT_DB:
        return []
    bars = [measured.accents[0].bar, measured.accents[-1].bar]
    text = sentences.FIND_ACCENTS(count=len(louder))
    return [
        made("accents", text, 7.0, bars=bars, position=measured.accents[0].position, certainty=UNSURE,
             note_count=len(louder), evidence={"above_db": round(float(np.median(louder)), 1)})
    ]  # fmt: skip


def slurs(measured: Articulation) -> list[Finding]:
    """Slurred notes that stand apart."""
    ratio, count = measured.slurred_ratio, sum(n.printed == "slurred" for n in measured.notes)
    if ratio is None or count < 8 or ratio >= SLUR_APART:
        return []
    text = sentences.FIND_SLURS(percent=round(100 * ratio))
    return [made("slurs", text, 9.0, certainty=UNSURE, note_count=count, evidence={"ratio": round(ratio, 2)})]
