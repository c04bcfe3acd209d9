"""Every printed note of the heard form: what became of it, when, how loud, and how sure that is."""

import itertools
from dataclasses import dataclass, replace

import numpy as np

from recordings.analysis import sentences
from recordings.analysis.follow.alignment import Alignment, Segment
from recordings.analysis.follow.events import Event
from recordings.analysis.follow.matched import Heard
from recordings.analysis.follow.observation import FIT_CAP, midi_hz
from recordings.analysis.measure import onsets
from recordings.analysis.sound import pitch
from recordings.analysis.sound.features import Features
from repertoire.notation.score import Form

PLAYED, WRONG, MISSING, UNCERTAIN = "played", "wrong_pitch", "missing", "uncertain"
SILENT_SHARE = 0.75  # of a note's time in silence: it was not played
UNCLEAR_FIT = -3.2  # mean log-fit; worse fits are not taken for the printed note
WRONG_LEAD = 0.7  # mean log-fit by which another pitch must lead to be called wrong
SHORTEST_JUDGED_S = 0.07
WRONG_LEAST_FRAMES = 4
# a repeated note that was not played: no stronger rise, no dip, and silence as long as the note
HELD_NOVELTY, HELD_DIP_DB, HELD_FALL_DB, HELD_SILENCE = 0.7, 2.5, 9.0, 0.6
RINGING_S = 0.25
STRUCK_S = 0.15  # a struck note is heard at least this long; chosen on sampled marimba, November 2026
RINGING_NOVELTY = 0.3  # of the take's usual strong attack
DOUBTED = 0.7  # of the confidence, where attack and pitch tell different onsets
WRONG_DOUBT = 0.5  # taken off the fit of a wrong note whose lead is small


@dataclass(frozen=True, slots=True)
class NoteResult:
    """One printed note of the heard form. Missing numbers are None, never guessed."""

    note_id: str
    measure_id: str
    bar: str
    beat: float
    pass_number: int
    position: int
    form_index: int  # index into form.notes
    start_q: float
    midi: int
    status: str
    heard_midi: int | None = None
    onset_s: float | None = None
    offset_s: float | None = None
    cents_from_printed: float | None = None  # against equal temperament at A = 440, tuning not yet taken off
    deviation_cents: float | None = None  # against the temperament at the take's own tuning
    spread_cents: float | None = None
    vibrato_rate_hz: float | None = None
    vibrato_extent_cents: float | None = None
    loudness_db: float | None = None
    confidence: float = 0.0
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class ExtraNote:
    """A pitch heard where none is printed."""

    start_s: float
    end_s: float
    midi: int


def measure(
    samples: np.ndarray,
    features: Features,
    form: Form,
    events: tuple[Event, ...],
    alignment: Alignment,
    heard: Heard,
    *,
    tuning_cents: float,
    intonation_judged: bool,
) -> tuple[NoteResult, ...]:
    """All notes of heard bars, and of printed bars not heard at all (status missing)."""
    times = onsets.refine(
        samples, features, events, heard.segments,
        hz_of=lambda midi: midi_hz(midi + alignment.shift, tuning_cents),
    )  # fmt: skip
    results: list[NoteResult] = []
    played: set[tuple[int, int]] = set()
    for i, segment in enumerate(heard.segments):
        event = events[segment.event]
        status, heard_midi, fit = _status(features, alignment, events, segment, fades=not intonation_judged)
        if status == PLAYED and _only_held(features, events, heard.segments, i):
            status = MISSING
        if status == WRONG and i and _rings_on(features, events, heard.segments[i - 1], segment, heard_midi):
            status, heard_midi = MISSING, None
        for index in event.note_indexes:
            result = _blank(form, index, heard.passes[i])
            result = replace(
                result, status=status, heard_midi=heard_midi,
                onset_s=float(times.onsets[i]), offset_s=float(times.offsets[i]),
            )  # fmt: skip
            result = _read(
                samples, features, form, event, fit, result, alignment, tuning_cents, intonation_judged
            )
            if times.doubt[i]:
                result = replace(result, confidence=_bounded(DOUBTED * result.confidence))
            results.append(result)
        played.add((segment.event, heard.passes[i]))
    results.extend(_missing(form, events, heard, played))
    results.extend(_graces(form, results))
    return tuple(_in_played_order(results, heard))


def _in_played_order(results: list[NoteResult], heard: Heard) -> list[NoteResult]:
    """By the bars as they came; a bar not heard stands behind the heard bar before it in the form."""
    visits = {(bar.position, bar.pass_number): n for n, bar in enumerate(heard.bars) if not bar.attempt_left}
    positions = [bar.position for bar in heard.bars]

    def key(result: NoteResult) -> tuple[float, int, float, int]:
        visit = visits.get((result.position, result.pass_number))
        if visit is None:
            earlier = [n for n, position in enumerate(positions) if position < result.position]
            return (max(earlier) if earlier else -1) + 0.5, result.position, result.start_q, result.midi
        return visit, result.position, result.start_q, result.midi

    return sorted(results, key=key)


def _blank(form: Form, index: int, pass_number: int) -> NoteResult:
    played = form.notes[index]
    bar = form.bars[played.position]
    measure = form.score.measures[bar.measure_index]
    beat = 1.0 + (played.start_q - bar.start_q) / measure.beat_q
    return NoteResult(
        played.note.note_id, measure.measure_id, measure.number, round(beat, 4), pass_number,
        played.position, index, played.start_q, played.note.midi, MISSING,
    )  # fmt: skip


def _status(
    features: Features, alignment: Alignment, events: tuple[Event, ...], segment: Segment, *, fades: bool
) -> tuple[str, int | None, float]:
    """(status, pitch heard for a wrong one, mean log-fit of what was taken to be heard).

    `fades`: struck or plucked, a long note may be silent before its time is over.
    """
    event = events[segment.event]
    if segment.silent_share > SILENT_SHARE and not (fades and _begins_sounding(features, alignment, segment)):
        return MISSING, None, segment.fit
    first = int(segment.start_s / features.frame_s)
    last = max(first + 1, round(segment.end_s / features.frame_s))
    if last - first > 3:
        first += 1  # the attack's frame still holds the note before
    observed = alignment.observations
    means = observed.single[:, first:last].mean(axis=1)
    base = observed.lowest - alignment.shift
    expected = max(float(means[m - base]) for m in event.pitches)
    others = _rivals(events, event, segment, range(base, base + len(means)))
    heard = max(others, key=lambda m: means[m - base], default=None)
    lead = float(means[heard - base]) - expected if heard is not None else 0.0
    if lead < WRONG_LEAD / 2 or len(event.pitches) > 1:
        return (PLAYED if segment.fit > UNCLEAR_FIT else UNCERTAIN), None, segment.fit
    fit = float(means[heard - base])
    if lead >= WRONG_LEAD and last - first >= WRONG_LEAST_FRAMES and fit > -FIT_CAP / 4:
        return WRONG, heard, fit - WRONG_DOUBT / lead
    return UNCERTAIN, None, segment.fit


def _begins_sounding(features: Features, alignment: Alignment, segment: Segment) -> bool:
    first = int(segment.start_s / features.frame_s)
    last = first + max(1, round(STRUCK_S / features.frame_s))
    return bool(alignment.observations.silent[first:last].mean() < 0.5)


def _only_held(features: Features, events: tuple[Event, ...], segments: tuple[Segment, ...], i: int) -> bool:
    """Whether a repeated pitch is only the note before, cut in two: no new attack, and then silence.

    Not where a rest is printed after it: there the silence says nothing.
    """
    if not 0 < i < len(segments) - 1:
        return False
    before, segment, following = segments[i - 1 : i + 2]
    event = events[segment.event]
    if events[before.event].pitches != event.pitches or event.sounding_q < event.length_q - 1e-3:
        return False
    step = features.fine_frame_s
    # the next attack's own rise is no part of the silence before it
    times = (before.start_s, segment.start_s, following.start_s - 0.06)
    start, cut, end = (int(t / step) for t in times)
    level = features.fine_level_db[start:end]
    if cut - start < 8 or end - cut < 8:
        return False
    loud = np.flatnonzero(level > np.percentile(level, 80) - HELD_FALL_DB)
    silence = end - start - int(loud[-1])
    around = level[cut - start - 8 : cut - start + 9]
    dips = around.min() < min(around[0], around[-1]) - HELD_DIP_DB
    attacked = features.fine_novelty[cut - 8 : cut + 9].max() > HELD_NOVELTY
    return silence > HELD_SILENCE * int(loud[-1]) and not dips and not attacked


def _rings_on(
    features: Features, events: tuple[Event, ...], before: Segment, segment: Segment, heard_midi: int | None
) -> bool:
    """Whether what sounds in a note's place is the one before, ringing on without an attack of its own."""
    near = int(segment.start_s / features.fine_frame_s)
    attack = features.fine_novelty[max(near - 10, 0) : near + 11].max(initial=0.0)
    return heard_midi in events[before.event].pitches and attack < RINGING_NOVELTY


def _rivals(events: tuple[Event, ...], event: Event, segment: Segment, heard: range) -> list[int]:
    """Pitches that may have been played instead.

    Within an octave: what seems lower still is a room or a string ringing under the note. A short
    note's forerunner is none either, it may only ring on; nor are a trill's upper notes.
    """
    barred = set(event.pitches)
    if event.trill:
        barred |= {m + d for m in event.struck for d in (1, 2)}
    if segment.end_s - segment.start_s < RINGING_S and event.index:
        barred |= set(events[event.index - 1].pitches)
    near = {m + d for m in event.struck for d in range(-11, 12)}
    return sorted(m for m in near - barred if m in heard)


def _read(samples, features, form, event, fit, result, alignment, tuning_cents, judged) -> NoteResult:
    """Add loudness, pitch and confidence to a note that has its times."""
    note = form.notes[result.form_index].note
    length = result.offset_s - result.onset_s
    surety = float(np.exp(min(fit + 0.3, 0.0) / 1.2) * (1 - np.exp(-length / 0.06)))
    level = _level(features, result.onset_s, result.offset_s)
    result = replace(result, loudness_db=level, confidence=_bounded(surety))
    if result.status == MISSING:
        return replace(result, onset_s=None, offset_s=None, loudness_db=None, confidence=_bounded(0.7))
    reason = _why_not_judged(note, event, result, judged, length)
    if reason:
        return replace(result, reason=reason)
    midi = result.heard_midi if result.status == WRONG else result.midi
    reading = pitch.read(
        samples, sample_rate=features.sample_rate, onset_s=result.onset_s, offset_s=result.offset_s,
        expected_hz=midi_hz(midi + alignment.shift, tuning_cents),
    )  # fmt: skip
    if reading is None or reading.at_edge:
        return replace(result, reason=sentences.REASON_UNCLEAR_PITCH, confidence=_bounded(0.4 * surety))
    clear = min(1.0, reading.clarity / 0.45) * float(np.exp(-max(reading.spread_cents - 12, 0) / 40))
    return replace(
        result,
        cents_from_printed=reading.cents + tuning_cents,
        spread_cents=reading.spread_cents,
        vibrato_rate_hz=reading.vibrato_rate_hz,
        vibrato_extent_cents=reading.vibrato_extent_cents,
        confidence=_bounded(surety * clear),
        reason=sentences.REASON_WRONG_PITCH if result.status == WRONG else None,
    )


def _why_not_judged(note, event: Event, result: NoteResult, judged: bool, length_s: float) -> str | None:
    if not judged:
        return sentences.REASON_INSTRUMENT
    if note.trill:
        return sentences.REASON_TRILL
    if note.tremolo:
        return sentences.REASON_TREMOLO
    if len(event.pitches) > 1:
        return sentences.REASON_SEVERAL_NOTES
    if result.status == UNCERTAIN:
        return sentences.REASON_UNCERTAIN
    if length_s < SHORTEST_JUDGED_S:
        return sentences.REASON_SHORT
    return None


def _bounded(value: float) -> float:
    return round(float(min(max(value, 0.0), 0.99)), 3)


def _level(features: Features, onset_s: float, offset_s: float) -> float | None:
    rows = features.fine_level_db[
        int(onset_s / features.fine_frame_s) : int(offset_s / features.fine_frame_s) + 1
    ]
    if not rows.size:
        return None
    return float(10 * np.log10(np.mean(10 ** (rows / 10)) + 1e-12))


def _missing(form, events, heard: Heard, played: set[tuple[int, int]]) -> list[NoteResult]:
    """Notes skipped inside heard bars, and all notes of bars never heard."""
    results = []
    left_out = set(heard.left_out_measures)
    visited = {(bar.position, bar.pass_number) for bar in heard.bars if not bar.attempt_left}
    done_measures: set[int] = set()
    for bar in form.bars:
        if bar.measure_index in left_out and bar.measure_index not in done_measures:
            visited.add((bar.position, 1))
            done_measures.add(bar.measure_index)
    for event in events:
        for position, number in visited:
            if position == event.position and (event.index, number) not in played:
                results += [replace(_blank(form, i, number), confidence=0.8) for i in event.note_indexes]
    return results


def _graces(form: Form, results: list[NoteResult]) -> list[NoteResult]:
    """Grace notes of bars heard: shown, never judged."""
    visits = {(r.position, r.pass_number) for r in results if r.status != MISSING}
    graces = []
    for index, played in enumerate(form.notes):
        if not played.note.grace:
            continue
        for position, number in visits:
            if position == played.position:
                blank = _blank(form, index, number)
                graces.append(replace(blank, status=UNCERTAIN, reason=sentences.REASON_GRACE))
    return graces


def extra_notes(features: Features, alignment: Alignment) -> tuple[ExtraNote, ...]:
    """Clear pitches of 150 ms or more in the pauses between aligned notes."""
    observed, found = alignment.observations, []
    edges = [(s.start_s, s.end_s) for s in alignment.segments]
    for (_, end), (start, _) in itertools.pairwise(edges):
        first, last = int(end / features.frame_s) + 2, int(start / features.frame_s)
        if (last - first) * features.frame_s < 0.15:
            continue
        rows = observed.best[first:last]
        cut = np.flatnonzero((np.diff(rows) != 0) | (observed.silent[first + 1 : last] > 0.5)) + 1
        for piece in np.split(np.arange(first, last), cut):
            if piece.size * features.frame_s >= 0.15 and observed.silent[piece].mean() < 0.3:
                midi = int(observed.best[piece[0]]) - alignment.shift
                found.append(ExtraNote(piece[0] * features.frame_s, (piece[-1] + 1) * features.frame_s, midi))
    return tuple(found)
