"""When every note of a form sounds at a tempo, and where the beats fall: what a page needs to play along.

Seconds count from the first bar played; the count-in lies before it, at negative times. The chosen tempo
holds where the form begins; tempo marks further on keep their printed ratio to it. Words without a number
("rit.", "a tempo") do not bend the beat. Positions in the score are quarters; raises nothing.
"""

from bisect import bisect_right
from dataclasses import dataclass

from repertoire.notation.score import Form, Measure, PlayedNote, Score, TempoMark

GRACE_S = 0.08  # common practice, no published source: a grace note is short and stands before the beat
STACCATO_SHARE = 0.5  # common practice, no published source: half the printed length
EPSILON_Q = 1e-6


@dataclass(frozen=True, slots=True)
class NoteTime:
    """One note of the form; seconds from the first bar played, pitch as it sounds (MIDI)."""

    note_id: str
    onset_s: float
    duration_s: float
    midi: int
    bar: str
    beat: float  # place in the bar in beats of its metre, from 1
    position: int  # index of the played bar


@dataclass(frozen=True, slots=True)
class Click:
    """One beat, as a metronome would sound it; below 0 seconds in the count-in."""

    at_s: float
    accent: bool  # first beat of a bar
    bar: str  # empty in the count-in
    beat: int


@dataclass(frozen=True, slots=True)
class BarTime:
    """When a bar of the form begins, in seconds."""

    at_s: float
    bar: str
    measure_id: str
    position: int


@dataclass(frozen=True, slots=True)
class PlayingTimes:
    """Everything of a form at one tempo, each list in time; lengths in seconds."""

    notes: tuple[NoteTime, ...]
    clicks: tuple[Click, ...]
    count_in: tuple[Click, ...]
    bars: tuple[BarTime, ...]
    length_s: float
    count_in_s: float


@dataclass(frozen=True, slots=True)
class _Clock:
    """Quarters of the form to seconds, through every change of tempo."""

    starts_q: tuple[float, ...]
    starts_s: tuple[float, ...]
    paces: tuple[float, ...]  # seconds a quarter

    def at_s(self, at_q: float) -> float:
        k = max(0, bisect_right(self.starts_q, at_q + EPSILON_Q) - 1)
        return self.starts_s[k] + (at_q - self.starts_q[k]) * self.paces[k]


def playing_times(
    form: Form, *, bpm: float, beat_unit_q: float, marked_bpm: float | None = None
) -> PlayingTimes:
    """Times of the whole form at `bpm` beats of `beat_unit_q` quarters a minute where it begins.

    `marked_bpm` is the tempo later marks are in proportion to where none is printed before the form.
    """
    clock = _clock(form, bpm * beat_unit_q, (marked_bpm or bpm) * beat_unit_q)
    offsets = _offsets(form)
    measures = form.score.measures
    count_in = (
        _count_in(measures[form.bars[0].measure_index], offsets[0], clock.paces[0]) if form.bars else ()
    )
    return PlayingTimes(
        notes=_note_times(form, clock, offsets),
        clicks=tuple(
            Click(clock.at_s(bar.start_q + at_q), beat == 1, measures[bar.measure_index].number, beat)
            for bar in form.bars
            for at_q, beat in _beats(measures[bar.measure_index], offsets[bar.position])
        ),
        count_in=count_in,
        bars=tuple(
            BarTime(
                clock.at_s(bar.start_q),
                measures[bar.measure_index].number,
                measures[bar.measure_index].measure_id,
                bar.position,
            )
            for bar in form.bars
        ),
        length_s=clock.at_s(form.length_q),
        count_in_s=-count_in[0].at_s if count_in else 0.0,
    )


def duration_s(form: Form, *, bpm: float, beat_unit_q: float, marked_bpm: float | None = None) -> float:
    """Seconds of the whole form at the tempo `playing_times` takes it, without its notes and beats."""
    clock = _clock(form, bpm * beat_unit_q, (marked_bpm or bpm) * beat_unit_q)
    return clock.at_s(form.length_q)


def _clock(form: Form, start_quarters: float, marked_quarters: float) -> _Clock:
    """One stretch for every bar and every mark in it; a repeated bar goes at the tempo printed for it."""
    marks = sorted(
        (mark for mark in form.score.tempo_marks if mark.bpm), key=lambda m: (m.measure_index, m.start_q)
    )
    stretches: list[tuple[float, float]] = []
    first = form.bars[0].measure_index if form.bars else 0
    ground = _quarters_at(form.score, marks, first, EPSILON_Q) or marked_quarters
    ratio = start_quarters / ground
    for bar in form.bars:
        before = _quarters_at(form.score, marks, bar.measure_index, 0.0) or ground
        stretches.append((bar.start_q, before * ratio))
        inside = [mark for mark in marks if mark.measure_index == bar.measure_index]
        stretches += [(bar.start_q + mark.start_q, _quarters(mark) * ratio) for mark in inside]
    starts_s, at_s = [], 0.0
    for k, (at_q, quarters) in enumerate(stretches):
        starts_s.append(at_s)
        if k + 1 < len(stretches):
            at_s += max(0.0, stretches[k + 1][0] - at_q) * 60.0 / quarters
    return _Clock(
        tuple(at_q for at_q, _ in stretches) or (0.0,),
        tuple(starts_s) or (0.0,),
        tuple(60.0 / quarters for _, quarters in stretches) or (60.0 / start_quarters,),
    )


def _quarters(mark: TempoMark) -> float:
    return (mark.bpm or 0.0) * mark.beat_unit_q


def _quarters_at(score: Score, marks: list[TempoMark], measure_index: int, within_q: float) -> float | None:
    """Quarters a minute of the last mark printed before `within_q` of this bar; None before the first."""
    reached = [
        mark
        for mark in marks
        if mark.measure_index < measure_index
        or (mark.measure_index == measure_index and mark.start_q < within_q)
    ]
    return _quarters(reached[-1]) if reached else None


def _full_q(measure: Measure) -> float:
    return measure.beats * 4.0 / measure.beat_type


def _offsets(form: Form) -> list[float]:
    """Quarters of its metre that are missing before each played bar: a pickup, or the rest of a split bar."""
    measures = form.score.measures
    offsets: list[float] = []
    for bar in form.bars:
        measure = measures[bar.measure_index]
        missing_q = max(0.0, _full_q(measure) - measure.length_q)
        before = measures[form.bars[bar.position - 1].measure_index] if bar.position else None
        fills_up = before is not None and abs(before.length_q - missing_q) < EPSILON_Q and missing_q > 0
        is_pickup = missing_q > EPSILON_Q and (bar.measure_index == 0 or fills_up)
        offsets.append(missing_q if is_pickup else 0.0)
    return offsets


def _beats(measure: Measure, offset_q: float) -> list[tuple[float, int]]:
    """Where the metre's beats fall inside a bar, in quarters from its start, with their number."""
    beats, k = [], 0
    while k * measure.beat_q - offset_q < measure.length_q - EPSILON_Q:
        if k * measure.beat_q - offset_q >= -EPSILON_Q:
            beats.append((k * measure.beat_q - offset_q, k + 1))
        k += 1
    return beats


def _count_in(measure: Measure, offset_q: float, pace: float) -> tuple[Click, ...]:
    """One whole bar, and before a pickup also the beats of its bar that the pickup leaves out."""
    full_q = _full_q(measure)
    length_q = full_q + offset_q
    clicks, at_q = [], 0.0
    while at_q < length_q - EPSILON_Q:
        beat = round((at_q % full_q) / measure.beat_q) + 1
        clicks.append(Click((at_q - length_q) * pace, beat == 1, "", beat))
        at_q += measure.beat_q
    return tuple(clicks)


def _note_times(form: Form, clock: _Clock, offsets: list[float]) -> tuple[NoteTime, ...]:
    times: list[NoteTime] = []
    graces: list[PlayedNote] = []
    for played in form.notes:
        if played.note.grace:
            graces.append(played)
            continue
        onset_s = clock.at_s(played.start_q)
        times += _graces_before(graces, onset_s, form, offsets)
        graces = []
        sounding_s = clock.at_s(played.start_q + played.duration_q) - onset_s
        share = STACCATO_SHARE if played.note.staccato else 1.0
        times.append(_note_time(played, onset_s, sounding_s * share, form, offsets))
    if graces:
        times += _graces_before(graces, clock.at_s(graces[-1].start_q) + len(graces) * GRACE_S, form, offsets)
    return tuple(times)


def _graces_before(
    graces: list[PlayedNote], onset_s: float, form: Form, offsets: list[float]
) -> list[NoteTime]:
    return [
        _note_time(played, onset_s - (len(graces) - k) * GRACE_S, GRACE_S, form, offsets)
        for k, played in enumerate(graces)
    ]


def _note_time(
    played: PlayedNote, onset_s: float, duration_s: float, form: Form, offsets: list[float]
) -> NoteTime:
    bar = form.bars[played.position]
    measure = form.score.measures[bar.measure_index]
    beat = (played.start_q - bar.start_q + offsets[bar.position]) / measure.beat_q + 1
    return NoteTime(
        played.note.note_id, onset_s, duration_s, played.note.midi, measure.number, beat, played.position
    )
