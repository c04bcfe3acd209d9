"""The follower held to what a teacher said: where the take lies, which bars came, where a bar begins.

Times are seconds of the take, positions indexes into the bars of a form. Nothing is raised: what does not fit
the take or its form is passed over, and `outcomes` tells which that was.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from recordings.analysis import corrections as said
from recordings.analysis import sentences
from recordings.analysis.corrections import Corrections, Outcome
from recordings.analysis.follow.events import Event, build
from recordings.analysis.follow.lattice import Model
from recordings.analysis.follow.matched import MatchedForm
from recordings.analysis.follow.note_result import PLAYED, UNCERTAIN, NoteResult
from recordings.analysis.follow.segments import Alignment, Segment
from repertoire.notation.order.forms import play
from repertoire.notation.score import Form

# nats on top of a jump: a new start of a bar and a half and more is still heard as one (made takes)
NOT_AS_SAID = 80.0


def within(samples: np.ndarray, corrections: Corrections, *, sample_rate: int) -> np.ndarray:
    """The same samples with silence before the take begins and after it ends."""
    if corrections.begins_s is None and corrections.ends_s is None:
        return samples
    first = round((corrections.begins_s or 0.0) * sample_rate)
    last = samples.size if corrections.ends_s is None else round(corrections.ends_s * sample_rate)
    kept = np.zeros_like(samples)
    kept[first:last] = samples[first:last]
    return kept


def form_played(asked: Form, corrections: Corrections) -> Form:
    """The bars in the order the teacher heard, else the form asked for."""
    return play(asked.score, order=corrections.order) if corrections.order else asked


def held_to(
    model: Model, form: Form, events: Sequence[Event], corrections: Corrections, *, frame_s: float
) -> Model:
    """The model with a gate at each bar line, and with no way around where the order of bars is known."""
    if corrections.order:
        nowhere = np.zeros(0, dtype=np.int32)
        starts = np.zeros(len(events) + 1, dtype=np.int32)
        model = model._replace(edge_start=starts, edge_source=nowhere, jump_more=NOT_AS_SAID)
    gates = {}
    for line in corrections.bar_lines:
        event = _first_event(form, events, line)
        if event is not None:
            gates[round(line.time_s / frame_s)] = event
    frames = model.fit.shape[1]
    times = sorted(at for at in gates if at < frames)
    return model._replace(
        gate_at=np.array(times, dtype=np.int32),
        gate_event=np.array([gates[at] for at in times], dtype=np.int32),
    )


def _first_event(form: Form, events: Sequence[Event], line: said.BarLine) -> int | None:
    for bar in form.bars:
        measure = form.score.measures[bar.measure_index]
        if (measure.measure_id, bar.pass_number) == (line.measure_id, line.pass_number):
            return next((e.index for e in events if e.position == bar.position), None)
    return None


def told_in(
    asked: Form, form: Form, events: tuple[Event, ...], path: Alignment
) -> tuple[Form, tuple[Event, ...], Alignment]:
    """(form, its events, path): the path through the bars heard, as one through the form asked for.

    As it is where bars came that are not asked for, or came in another order.
    """
    places = None if form is asked else _places_in(asked, form)
    if places is None:
        return form, events, path
    asked_events = build(asked)
    here, there = _by_position(events), _by_position(asked_events)
    segments: list[Segment] = []
    for segment in path.segments:
        position = events[segment.event].position
        own, theirs = here[position], there.get(places[position], [])
        place = len(theirs) - len(own) + own.index(segment.event)  # what is held into a bar stands before
        if place < 0:
            continue
        event = theirs[place]
        skips = bool(segments) and not 0 <= event - segments[-1].event <= 3
        segments.append(replace(segment, event=event, jumped=segment.jumped or skips))
    return asked, asked_events, replace(path, segments=tuple(segments))


def _places_in(asked: Form, form: Form) -> dict[int, int] | None:
    """Position in `asked` of each position of `form`, as late as a repeat left out allows."""
    places: dict[int, int] = {}
    rest = [bar.measure_index for bar in asked.bars]
    for bar in reversed(form.bars):
        while rest and rest[-1] != bar.measure_index:
            rest.pop()
        if not rest:
            return None
        rest.pop()
        places[bar.position] = len(rest)
    return places


def _by_position(events: Sequence[Event]) -> dict[int, list[int]]:
    found: dict[int, list[int]] = {}
    for event in events:
        found.setdefault(event.position, []).append(event.index)
    return found


def with_right_notes(notes: tuple[NoteResult, ...], corrections: Corrections) -> tuple[NoteResult, ...]:
    """Notes that the teacher heard as printed are played; what was measured of another pitch is taken off."""
    right = {(note.note_id, note.pass_number) for note in corrections.right_notes}
    return tuple(_right(note) if (note.note_id, note.pass_number) in right else note for note in notes)


def _right(note: NoteResult) -> NoteResult:
    """Played where its time is known; without one nothing can be measured of it, and it counts as sounded."""
    return replace(
        note, status=UNCERTAIN if note.onset_s is None else PLAYED, heard_midi=None, cents_from_printed=None,
        deviation_cents=None, spread_cents=None, vibrato_rate_hz=None, vibrato_extent_cents=None,
        reason=sentences.REASON_HEARD_RIGHT(),
    )  # fmt: skip


def outcomes(
    corrections: Corrections,
    asked: Form,
    played: MatchedForm,
    notes: Sequence[NoteResult],
    *,
    duration_s: float,
) -> tuple[Outcome, ...]:
    """What was said, in its order, each with whether the measurement now agrees."""
    begins = {(bar.measure_id, bar.pass_number): bar.start_s for bar in played.bars if not bar.attempt_left}
    known = {(note.note_id, note.pass_number) for note in notes}
    told = []
    if corrections.begins_s is not None:
        told.append(Outcome(said.BEGINS, "", 0, corrections.begins_s < duration_s))
    if corrections.ends_s is not None:
        told.append(Outcome(said.ENDS, "", 0, corrections.ends_s <= duration_s + said.NEAR_S))
    if corrections.order:
        told.append(Outcome(said.ORDER, "", 0, _came_so(corrections.order, asked, played)))
    for line in corrections.bar_lines:
        at_s = begins.get((line.measure_id, line.pass_number))
        there = at_s is not None and abs(at_s - line.time_s) <= said.NEAR_S
        told.append(Outcome(said.BAR_LINE, line.measure_id, line.pass_number, there))
    for note in corrections.right_notes:
        there = (note.note_id, note.pass_number) in known
        told.append(Outcome(said.RIGHT_NOTE, note.note_id, note.pass_number, there))
    return tuple(told)


def _came_so(order: Sequence[int], asked: Form, played: MatchedForm) -> bool:
    """Whether the bars heard are a stretch of this order, apart from rests and tries given up."""
    sounding = {note.measure_index for note in asked.score.notes}
    said_bars = [index for index in order if index in sounding]
    heard = [
        bar.measure_index for bar in played.bars if not bar.attempt_left and bar.measure_index in sounding
    ]
    starts = range(len(said_bars) - len(heard) + 1)
    return bool(heard) and any(said_bars[n : n + len(heard)] == heard for n in starts)
