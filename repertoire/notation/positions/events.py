"""The printed music as one line of events with times: what is struck at one moment, in the order of print.

Times are seconds at one even tempo. Bars that the score does not have raise `BadScore`.
"""

from dataclasses import dataclass

from repertoire.notation.order.forms import printed_range
from repertoire.notation.score import Note, Score


@dataclass(frozen=True, slots=True)
class Event:
    """Notes struck together, lowest first; times in seconds from the start of the first bar."""

    notes: tuple[Note, ...]
    start_s: float
    end_s: float

    @property
    def measure_index(self) -> int:
        """Index in print of the bar it begins in."""
        return self.notes[0].measure_index

    @property
    def slurred(self) -> bool:
        """Whether a slur goes on from it to the next."""
        return any(note.slurred_to_next for note in self.notes)

    @property
    def pitches(self) -> tuple[tuple[int, int], ...]:
        """Sounding MIDI and written step on the staff (above C0) of each note."""
        return tuple((note.midi, note.written.staff_step) for note in self.notes)


def events_of(score: Score, *, quarter_bpm: float, bars: tuple[str, str] | None = None) -> tuple[Event, ...]:
    """Events of the printed bars, each bar once; a grace note is an event of its own without length."""
    low, high = printed_range(score, *bars) if bars else (0, len(score.measures) - 1)
    second_q = 60.0 / quarter_bpm
    starts: dict[int, float] = {}
    at_q = 0.0
    for measure in score.measures[low : high + 1]:
        starts[measure.index] = at_q
        at_q += measure.length_q
    together: dict[object, list[Note]] = {}
    for note in score.notes:
        if note.measure_index in starts:
            key = note.note_id if note.grace else (note.measure_index, round(note.start_q, 6))
            together.setdefault(key, []).append(note)
    events = []
    for notes in together.values():
        start_q = starts[notes[0].measure_index] + notes[0].start_q
        length_q = max(note.duration_q for note in notes)
        notes.sort(key=lambda note: note.midi)
        events.append(Event(tuple(notes), start_q * second_q, (start_q + length_q) * second_q))
    return tuple(events)
