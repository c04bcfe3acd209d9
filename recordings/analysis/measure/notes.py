"""Every printed note of the heard form: what became of it, when, how loud, and how sure that is.

Results stand in played order, one a printed note of the form, `(notes,)`; seconds, cents, dB. Nothing is
raised: what cannot be measured is None and has a reason.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from recordings.analysis import sentences
from recordings.analysis.follow.events import Event
from recordings.analysis.follow.matched import MatchedForm
from recordings.analysis.follow.note_result import MISSING, PLAYED, UNCERTAIN, WRONG, NoteResult
from recordings.analysis.follow.observation import midi_hz
from recordings.analysis.follow.segments import Alignment
from recordings.analysis.measure import double_stops, onsets
from recordings.analysis.measure.note_status import begins_the_next, only_held, rings_on, status_of
from recordings.analysis.sound import pitch
from recordings.analysis.sound.features import Features
from repertoire.notation.pitches import fifths_of
from repertoire.notation.score import Form, Note
from repertoire.notation.sentence import Sentence

SHORTEST_JUDGED_S = 0.07
DOUBTED = 0.7  # of the evidence, where attack and pitch tell different onsets


def measure(
    samples: np.ndarray,
    features: Features,
    form: Form,
    events: tuple[Event, ...],
    alignment: Alignment,
    matched: MatchedForm,
    *,
    tuning_cents: float,
    intonation_judged: bool,
) -> tuple[NoteResult, ...]:
    """All notes of heard bars, and of printed bars not heard at all (status missing)."""
    times = onsets.refine(
        samples, features, events, matched.segments,
        hz_of=lambda midi: midi_hz(midi + alignment.shift, tuning_cents),
    )  # fmt: skip
    results: list[NoteResult] = []
    played: set[tuple[int, int]] = set()
    for i, segment in enumerate(matched.segments):
        event = events[segment.event]
        status, heard_midi, fit = status_of(
            features, alignment, events, segment, fades=not intonation_judged, tuning_cents=tuning_cents
        )
        if status == PLAYED and only_held(features, events, matched.segments, i):
            status = MISSING
        if status == WRONG and i and rings_on(features, events, matched.segments[i - 1], segment, heard_midi):
            status, heard_midi = MISSING, None
        after = matched.segments[i + 1] if i + 1 < len(matched.segments) else None
        if status == WRONG and after and begins_the_next(features, events, after, heard_midi):
            status, heard_midi = MISSING, None
            times.onsets[i + 1] = times.onsets[i]
        other = None
        if status in (PLAYED, UNCERTAIN):
            other = double_stops.other_note(features, alignment, events, segment, tuning_cents=tuning_cents)
        if other:
            fit = min(fit + other.lead, 0.0)
        for index in event.note_indexes:
            result = _blank(form, index, matched.passes[i])
            became = (status, heard_midi)
            if other and other.printed == result.midi:
                became = (WRONG, other.heard)
            result = replace(
                result, status=became[0], heard_midi=became[1],
                onset_s=float(times.onsets[i]), offset_s=float(times.offsets[i]),
                onset_blur_s=float(times.blur[i]),
            )  # fmt: skip
            result = _read(
                samples, features, form, event, fit, result, alignment, tuning_cents, intonation_judged
            )
            if times.doubt[i]:
                result = replace(result, evidence=_bounded(DOUBTED * result.evidence))
            results.append(result)
        played.add((segment.event, matched.passes[i]))
    results.extend(_missing(form, events, matched, played))
    results.extend(_graces(form, results))
    return tuple(_in_played_order(results, matched))


def _in_played_order(results: list[NoteResult], matched: MatchedForm) -> list[NoteResult]:
    """By the bars as they came; a bar not heard stands behind the heard bar before it in the form."""
    visits = {
        (bar.position, bar.pass_number): n for n, bar in enumerate(matched.bars) if not bar.attempt_left
    }
    positions = [bar.position for bar in matched.bars]

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
        played.position, index, played.start_q, played.note.midi,
        fifths_of(played.note.written_step, played.note.written_alter), MISSING,
    )  # fmt: skip


def _read(
    samples: np.ndarray,
    features: Features,
    form: Form,
    event: Event,
    fit: float,
    result: NoteResult,
    alignment: Alignment,
    tuning_cents: float,
    judged: bool,
) -> NoteResult:
    """Add loudness, pitch and evidence to a note that has its times."""
    note = form.notes[result.form_index].note
    length = result.ended_s - result.began_s
    surety = float(np.exp(min(fit + 0.3, 0.0) / 1.2) * (1 - np.exp(-length / 0.06)))
    level = _level(features, result.began_s, result.ended_s)
    result = replace(result, loudness_db=level, evidence=_bounded(surety))
    if result.status == MISSING:
        return replace(result, onset_s=None, offset_s=None, loudness_db=None, evidence=_bounded(0.7))
    reason = _why_not_judged(note, event, result, judged, length)
    if reason:
        return replace(result, reason=reason)
    heard = result.heard_midi if result.status == WRONG else None
    midi = result.midi if heard is None else heard
    reading = pitch.read(
        samples, sample_rate=features.sample_rate, onset_s=result.began_s, offset_s=result.ended_s,
        expected_hz=midi_hz(midi + alignment.shift, tuning_cents),
    )  # fmt: skip
    if reading is None or reading.at_edge:
        return replace(result, reason=sentences.REASON_UNCLEAR_PITCH(), evidence=_bounded(0.4 * surety))
    clear = min(1.0, reading.clarity / 0.45) * float(np.exp(-max(reading.spread_cents - 12, 0) / 40))
    return replace(
        result,
        cents_from_printed=reading.cents + tuning_cents,
        spread_cents=reading.spread_cents,
        vibrato_rate_hz=reading.vibrato_rate_hz,
        vibrato_extent_cents=reading.vibrato_extent_cents,
        evidence=_bounded(surety * clear),
        reason=sentences.REASON_WRONG_PITCH() if result.status == WRONG else None,
    )


def _why_not_judged(
    note: Note, event: Event, result: NoteResult, judged: bool, length_s: float
) -> Sentence | None:
    if not judged:
        return sentences.REASON_INSTRUMENT()
    if note.trill:
        return sentences.REASON_TRILL()
    if note.tremolo:
        return sentences.REASON_TREMOLO()
    if len(event.pitches) > 1:
        return sentences.REASON_SEVERAL_NOTES()
    if result.status == UNCERTAIN:
        return sentences.REASON_UNCERTAIN()
    if length_s < SHORTEST_JUDGED_S:
        return sentences.REASON_SHORT()
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


def _missing(
    form: Form, events: Sequence[Event], matched: MatchedForm, played: set[tuple[int, int]]
) -> list[NoteResult]:
    """Notes skipped inside heard bars, and all notes of bars never heard."""
    results = []
    left_out = set(matched.left_out_measures)
    visited = {(bar.position, bar.pass_number) for bar in matched.bars if not bar.attempt_left}
    done_measures: set[int] = set()
    for bar in form.bars:
        if bar.measure_index in left_out and bar.measure_index not in done_measures:
            visited.add((bar.position, 1))
            done_measures.add(bar.measure_index)
    for event in events:
        for position, number in visited:
            if position == event.position and (event.index, number) not in played:
                results += [replace(_blank(form, i, number), evidence=0.8) for i in event.note_indexes]
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
                graces.append(replace(blank, status=UNCERTAIN, reason=sentences.REASON_GRACE()))
    return graces
