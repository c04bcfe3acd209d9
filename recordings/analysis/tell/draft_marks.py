"""Suggested ranges for captions that can be measured; the others are for the ear.

A suggestion is a range on the caption's own scale. The curves from measurement to share of the scale are
common practice (no published source) and are the place to change when a studio marks otherwise.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from recordings.analysis import sentences
from recordings.analysis.measure.intonation import judged
from recordings.analysis.measure.measured import Measured
from recordings.analysis.measure.tone import Tone
from recordings.analysis.settings import AnalysisSettings
from recordings.analysis.tell.finding import SURE, Finding
from repertoire.notation.sentence import Sentence

# measurement -> share of the scale
PITCH_CURVE = ((3.0, 1.0), (6.0, 0.93), (9.0, 0.82), (13.0, 0.66), (18.0, 0.5), (26.0, 0.3), (40.0, 0.1))
# of the notes furthest off, one in ten: a few notes far off weigh with a judge as many a little off do not
FURTHEST_CURVE = ((13.0, 1.0), (17.0, 0.88), (22.0, 0.76), (30.0, 0.55), (45.0, 0.25))
BEAT_CURVE = ((0.03, 1.0), (0.06, 0.9), (0.10, 0.75), (0.15, 0.55), (0.22, 0.35), (0.35, 0.12))
STEADY_CURVE = ((3.0, 1.0), (6.0, 0.9), (10.0, 0.72), (16.0, 0.5), (28.0, 0.2))
NEAR_CURVE = ((0.0, 1.0), (0.06, 0.95), (0.15, 0.75), (0.3, 0.5), (0.5, 0.25), (0.7, 0.1))
FAULT_CURVE = ((0.0, 1.0), (0.01, 0.93), (0.03, 0.82), (0.07, 0.62), (0.15, 0.38), (0.35, 0.1))
HALF_WIDTH = 0.08  # of the scale, to each side
LEAST_NOTES = 12
LEAST_SHARE = 0.6  # of the notes asked for; what little was heard says nothing of the whole
LEAST_VIBRATO = 5  # notes
# A suggestion must agree with what is told beside it (shares of the scale).
HABITS = ("intonation", "intonation_habit", "intonation_stretch", "intonation_wanders", "tuning_drift")
HABIT_NOTES = 3
MOST_BESIDE_HABITS, FURTHER_HABIT, MOST_BESIDE_SINGLES = 0.76, 0.06, 0.92
LEAST_BESIDE_PRAISE = 0.82
OF_THE_PULSE = ("uneven_run", "hesitation", "restart", "dotted", "triplets")
LEAST_IN_TIME = 0.78
# which words in an ear caption's name ask for which facts beside it
TONE_WORDS = ("tone", "sound", "colour", "color", "bow", "breath")
MUSIC_WORDS = ("music", "expression", "dynamic", "phras", "style", "interpretation", "artist")
# which words in a caption's key or name ask for which measurement
KINDS = {
    "intonation": ("intonation", "pitch"),
    "rhythm": ("rhythm", "pulse"),
    "tempo": ("tempo",),
    "accuracy": ("accuracy", "notes", "technique", "arpeggio"),
}


@dataclass(frozen=True, slots=True)
class CaptionSpec:
    """A rubric's caption: its range and the step marks are given in."""

    key: str
    name: str
    low: float
    high: float
    step: float


@dataclass(frozen=True, slots=True)
class DraftMark:
    """`low` and `high` are None where nothing is suggested; `evidence` then says why."""

    caption: str
    low: float | None
    high: float | None
    evidence: Sentence


def suggest(
    captions: tuple[CaptionSpec, ...],
    measured: Measured,
    *,
    settings: AnalysisSettings,
    tone: Tone | None = None,
    found: tuple[Finding, ...] = (),
) -> tuple[DraftMark, ...]:
    """One draft mark per caption, in the rubric's order.

    `measured` as for findings; `settings` give the tolerance and the range of tempi asked for; `found` is
    what is told beside the marks, which no suggestion may contradict. Nothing is raised: where too little
    was played, the mark says so instead of a range.
    """
    return tuple(_suggest(caption, measured, settings, tone, found) for caption in captions)


def _suggest(
    caption: CaptionSpec,
    measured: Measured,
    settings: AnalysisSettings,
    tone: Tone | None,
    found: tuple[Finding, ...],
) -> DraftMark:
    kind = _kind(caption)
    if kind is None:
        return DraftMark(caption.key, None, None, _for_the_ear(caption, measured, tone))
    played_enough = kind == "accuracy" or measured.share_played >= LEAST_SHARE
    if measured.note_count < LEAST_NOTES or measured.share_played < 0.12 or not played_enough:
        return DraftMark(caption.key, None, None, sentences.DRAFT_TOO_LITTLE())
    share, evidence = MEASURES[kind](measured, settings)
    if share is None:
        return DraftMark(caption.key, None, None, evidence)
    low, high = _range(caption, _beside_what_is_told(kind, share, found))
    return DraftMark(caption.key, low, high, evidence)


def _beside_what_is_told(kind: str, share: float, found: tuple[Finding, ...]) -> float:
    """The share of the scale, brought to what is told: a habit weighs more than the few notes it is of.

    Where nothing of the pulse is told, the freedom of a phrase is no fault of rhythm.
    """
    sure = [finding for finding in found if finding.certainty == SURE and not finding.strength]
    if kind == "intonation":
        habits = [f for f in sure if f.kind in HABITS and f.note_count >= HABIT_NOTES]
        singles = [f for f in sure if f.kind in HABITS and f.note_count < HABIT_NOTES]
        if habits:
            share = min(share, MOST_BESIDE_HABITS - FURTHER_HABIT * (len(habits) - 1))
        elif singles:
            share = min(share, MOST_BESIDE_SINGLES)
        elif any(f.kind == "strength_intonation" for f in found):
            share = max(share, LEAST_BESIDE_PRAISE)
    if kind == "rhythm" and not any(f.kind in OF_THE_PULSE for f in found):
        share = max(share, LEAST_IN_TIME)
    return share


def _for_the_ear(caption: CaptionSpec, measured: Measured, tone: Tone | None) -> Sentence:
    """What was measured that may stand beside the ear; never a mark."""
    words = f"{caption.key} {caption.name}".lower()
    facts: list[Sentence] = []
    if tone and any(word in words for word in TONE_WORDS):
        facts = _tone_facts(tone)
    elif any(word in words for word in MUSIC_WORDS):
        facts = _music_facts(measured)
    if not facts:
        return sentences.DRAFT_EAR()
    return sentences.DRAFT_EAR_BESIDE(facts=tuple(facts))


def _tone_facts(tone: Tone) -> list[Sentence]:
    steadiness, evenness, clearness = (
        tone.pitch_steadiness_cents, tone.centroid_spread_percent, tone.harmonic_to_noise_db
    )  # fmt: skip
    if steadiness is None or evenness is None or clearness is None:
        return []
    return [
        sentences.EAR_STEADY(cents=round(steadiness), count=tone.note_count),
        sentences.EAR_EVEN(percent=round(evenness)),
        sentences.EAR_CLEAR(db=round(clearness)),
    ]


def _music_facts(measured: Measured) -> list[Sentence]:
    facts = []
    if measured.dynamics.range_db is not None:
        facts.append(sentences.EAR_RANGE(db=round(measured.dynamics.range_db)))
    hairpins = measured.dynamics.hairpins
    if hairpins:
        followed = sum(h.heard == ("rose" if h.kind == "crescendo" else "fell") for h in hairpins)
        facts.append(sentences.EAR_HAIRPINS(heard=followed, count=len(hairpins)))
    vibrato = [n for n in measured.notes if n.vibrato_rate_hz is not None]
    if len(vibrato) >= LEAST_VIBRATO:
        rate = float(np.median([n.vibrato_rate_hz for n in vibrato]))
        extent = float(np.median([n.vibrato_extent_cents for n in vibrato]))
        facts.append(sentences.EAR_VIBRATO(rate=round(rate, 1), cents=round(extent), count=len(vibrato)))
    return facts


def _kind(caption: CaptionSpec) -> str | None:
    for text in (caption.key.lower(), caption.name.lower()):
        for kind, words in KINDS.items():
            if any(word in text for word in words):
                return kind
    return None


def _range(caption: CaptionSpec, share: float) -> tuple[float, float]:
    span, step = caption.high - caption.low, caption.step or 1.0
    ends = (max(share - HALF_WIDTH, 0.0), min(share + HALF_WIDTH, 1.0))
    low, high = (caption.low + round(span * end / step) * step for end in ends)
    if high - low < step:
        low = max(caption.low, high - step)
    return round(max(low, caption.low), 6), round(min(high, caption.high), 6)


def _curve(value: float, points: Sequence[tuple[float, float]]) -> float:
    return float(np.interp(value, [at for at, _ in points], [height for _, height in points]))


def _intonation(measured: Measured, settings: AnalysisSettings) -> tuple[float | None, Sentence]:
    block = measured.intonation
    if not block.judged:
        return None, sentences.DRAFT_NOT_JUDGED()
    together = sum(n.reason == sentences.REASON_SEVERAL_NOTES() for n in measured.notes)
    within, mean = block.within_tolerance_share, block.mean_abs_cents
    if block.note_count < LEAST_NOTES or within is None or mean is None:
        return None, _with_notes_together(sentences.DRAFT_TOO_LITTLE(), together)
    evidence = sentences.DRAFT_INTONATION(
        share=round(100 * within), count=block.note_count,
        cents=round(settings.tolerance_cents), mean=round(mean),
    )  # fmt: skip
    cents = [abs(n.off_cents) for n in judged(measured.notes)]
    furthest = _curve(float(np.percentile(cents, 90)), FURTHEST_CURVE)
    share = min(_curve(mean, PITCH_CURVE), furthest)
    return share, _with_notes_together(evidence, together)


def _with_notes_together(evidence: Sentence, together: int) -> Sentence:
    if not together:
        return evidence
    return sentences.BOTH(first=evidence, second=sentences.DRAFT_TOGETHER(count=together))


def _rhythm(measured: Measured, settings: AnalysisSettings) -> tuple[float | None, Sentence]:
    block = measured.rhythm
    if block.spread_beats is None or block.spread_ms is None:
        return None, sentences.DRAFT_TOO_LITTLE()
    stops = len(measured.tempo.hesitations) + measured.restart_count
    share = _curve(block.spread_beats, BEAT_CURVE) - 0.06 * min(stops, 5)
    return max(share, 0.05), sentences.DRAFT_RHYTHM(ms=round(block.spread_ms), stops=stops)


def _tempo(measured: Measured, settings: AnalysisSettings) -> tuple[float | None, Sentence]:
    block = measured.tempo
    if block.metronome_bpm is None or block.steadiness_percent is None:
        return None, sentences.DRAFT_TOO_LITTLE()
    steady = _curve(block.steadiness_percent, STEADY_CURVE)
    bpm, even = round(block.metronome_bpm), round(block.steadiness_percent)
    if not block.marked_bpm:
        return steady, sentences.DRAFT_TEMPO_NO_MARK(bpm=bpm, steady=even)
    low = settings.tempo_low_bpm or block.marked_bpm
    high = settings.tempo_high_bpm or block.marked_bpm
    away = max(np.log(low / block.metronome_bpm), np.log(block.metronome_bpm / high), 0.0)
    share = min(_curve(away, NEAR_CURVE), 0.5 * (_curve(away, NEAR_CURVE) + steady))
    text = sentences.DRAFT_TEMPO(
        bpm=bpm, percent=round(100 * block.metronome_bpm / block.marked_bpm), steady=even
    )
    return share, text


def _accuracy(measured: Measured, settings: AnalysisSettings) -> tuple[float | None, Sentence]:
    if measured.lost:
        return None, sentences.DRAFT_NOT_FOLLOWED()
    wrong, missing, count = measured.wrong_count, measured.missing_count, measured.note_count
    text = sentences.DRAFT_ACCURACY(right=count - wrong - missing, count=count, wrong=wrong, missing=missing)
    return _curve((wrong + missing) / count, FAULT_CURVE), text


MEASURES = {"intonation": _intonation, "rhythm": _rhythm, "tempo": _tempo, "accuracy": _accuracy}
