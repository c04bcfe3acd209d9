"""The form as a chain of events: moments at which one or more notes begin together.

Chords and double stops are one event; a note held under later ones stays in their `pitches`.
Grace notes are no events of their own (their time is taken from a neighbour) and are not judged.
Times are quarters, pitches MIDI numbers. Nothing is raised.
"""

from dataclasses import dataclass

from repertoire.notation.score import Form, PlayedNote

SAME_TIME_Q = 1e-3  # quarters; notes nearer than this begin together


@dataclass(frozen=True, slots=True)
class Event:
    """One moment of the form. Times in quarters from the start of the form."""

    index: int
    position: int  # index of the played bar
    first_in_bar: bool
    start_q: float
    length_q: float  # until the next event (or the end of the form)
    sounding_q: float  # how much of that the longest of its own notes fills
    note_indexes: tuple[int, ...]  # into form.notes, those that begin here
    struck: tuple[int, ...]  # MIDI pitches that begin here
    pitches: tuple[int, ...]  # MIDI pitches sounding here, held ones included
    trill: bool
    fermata: bool


def build(form: Form) -> tuple[Event, ...]:
    """The events of a form in played order; a form without notes has none."""
    order = sorted(
        (i for i, played in enumerate(form.notes) if not played.note.grace),
        key=lambda i: (form.notes[i].start_q, form.notes[i].note.midi),
    )
    groups: list[list[int]] = []
    for index in order:
        if groups and form.notes[index].start_q - form.notes[groups[-1][0]].start_q < SAME_TIME_Q:
            groups[-1].append(index)
        else:
            groups.append([index])
    end_q = form.length_q or max((n.start_q + n.duration_q for n in form.notes), default=0.0)
    events: list[Event] = []
    held: list[PlayedNote] = []
    for number, group in enumerate(groups):
        notes = [form.notes[i] for i in group]
        start = notes[0].start_q
        following = form.notes[groups[number + 1][0]].start_q if number + 1 < len(groups) else end_q
        held = [n for n in held if n.start_q + n.duration_q > start + SAME_TIME_Q]
        length = max(following - start, 1e-3)
        longest = max(n.duration_q for n in [*notes, *held])
        events.append(
            Event(
                index=number,
                position=notes[0].position,
                first_in_bar=not events or events[-1].position != notes[0].position,
                start_q=start,
                length_q=length,
                sounding_q=min(length, max(longest, 1e-3)),
                note_indexes=tuple(group),
                struck=tuple(sorted({n.note.midi for n in notes})),
                pitches=tuple(sorted({n.note.midi for n in [*notes, *held]})),
                trill=any(n.note.trill for n in notes),
                fermata=any(n.note.fermata for n in notes),
            )
        )
        held.extend(notes)
    return tuple(events)
