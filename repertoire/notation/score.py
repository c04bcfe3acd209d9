"""The printed music as frozen data, shared by the engraving, the forms and the analysis.

Positions are in quarter notes (`_q`), counted from the start of the bar or of the
played form; pitches are sounding MIDI numbers (A4 = 69), already transposed. Bars are named by their index in
print, from 0, and by the label a player reads.
"""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, field

from repertoire.notation.pitches import WrittenPitch, spelled_in_key
from repertoire.notation.sentence import Sentence

MOST_PLAYED_NOTES = 60_000  # of one form, with all repeats
MINOR_ABOVE = 3  # fifths from a major key's keynote to that of the minor key with its signature


@dataclass(frozen=True, slots=True)
class Note:
    """One printed note after ties are merged; `note_id` is the id in the canonical MusicXML and the SVG."""

    note_id: str
    measure_index: int
    start_q: float  # from the start of its bar
    duration_q: float  # printed length with tied continuations; 0 for a grace note
    midi: int  # sounding pitch
    written_step: str  # "B"
    written_alter: int  # -1 flat, 0 natural, 1 sharp
    written_octave: int
    tied_ids: tuple[str, ...] = ()  # ids of the tied continuations
    # (measure_index, start_q, duration_q) of each tied continuation, for a form that enters amid a tie
    tied_at: tuple[tuple[int, float, float], ...] = ()
    grace: bool = False
    trill: bool = False
    tremolo: bool = False
    fermata: bool = False
    staccato: bool = False
    accent: bool = False
    tenuto: bool = False
    slurred_to_next: bool = False
    chord: bool = False  # shares its onset with another note of the part
    voice: int = 1

    @property
    def written(self) -> WrittenPitch:
        """The pitch as the player reads it."""
        return WrittenPitch(self.written_step, self.written_alter, self.written_octave)


@dataclass(frozen=True, slots=True)
class Measure:
    """One printed bar; `number` is the label a player sees ("22"), which may repeat or be empty of digits."""

    measure_id: str
    index: int  # position in print, from 0
    number: str
    length_q: float  # the bar's real length (a pickup is shorter than its metre)
    beats: int
    beat_type: int
    fifths: int  # written key signature
    mode: str  # "major", "minor" or ""

    @property
    def keynote(self) -> int:
        """The written keynote's place on the line of fifths, C at 0: a minor key's lies three above."""
        return self.fifths + (MINOR_ABOVE if self.mode == "minor" else 0)

    @property
    def beat_q(self) -> float:
        """Length of the metre's beat in quarters: a dotted note in compound metres."""
        compound = self.beat_type >= 8 and self.beats % 3 == 0 and self.beats > 3
        return 4.0 / self.beat_type * (3 if compound else 1)


@dataclass(frozen=True, slots=True)
class TempoMark:
    """A metronome mark or words about the tempo, from here on."""

    measure_index: int
    start_q: float
    bpm: float | None  # per beat unit; None for words alone ("rit.")
    beat_unit_q: float  # 1.0 quarter, 1.5 dotted quarter
    text: str = ""
    printed: bool = True  # False where the number is only for playback and nobody sees it on the page

    @property
    def printed_bpm(self) -> float | None:
        """Beats a minute of a metronome mark; None for words and for a tempo only playback knows."""
        return self.bpm if self.printed else None


@dataclass(frozen=True, slots=True)
class Dynamic:
    """A printed level, from here on."""

    measure_index: int
    start_q: float
    text: str  # "p", "mf", "sfz"


@dataclass(frozen=True, slots=True)
class Hairpin:
    """A printed crescendo or diminuendo."""

    kind: str  # "crescendo" or "diminuendo"
    start_measure: int
    start_q: float
    end_measure: int
    end_q: float


@dataclass(frozen=True, slots=True)
class Score:
    """One part of printed music. `order` is the printed form: measure indexes in the order of play."""

    title: str
    part_name: str
    transposition: int  # sounding minus written, in semitones
    measures: tuple[Measure, ...]
    notes: tuple[Note, ...]  # by measure, then start, then pitch; grace notes before their main note
    order: tuple[int, ...]
    tempo_marks: tuple[TempoMark, ...] = ()
    dynamics: tuple[Dynamic, ...] = ()
    hairpins: tuple[Hairpin, ...] = ()
    composer: str = ""
    # the order with every repeat left out: last endings only, da capo and dal segno kept
    order_without_repeats: tuple[int, ...] = ()
    # groups of endings that follow each other, each ending as (first, last) measure index
    endings: tuple[tuple[tuple[int, int], ...], ...] = ()

    @property
    def labels(self) -> list[str]:
        """The printed number of every bar, in print order."""
        return [measure.number for measure in self.measures]

    @property
    def first_metronome_mark(self) -> TempoMark | None:
        """The metronome mark printed at the very beginning; None where the music begins without one."""
        marks = [m for m in self.tempo_marks if m.printed_bpm and not m.measure_index and m.start_q <= 0]
        return marks[-1] if marks else None

    def notes_in(self, measure_index: int) -> tuple[Note, ...]:
        """The notes of one bar, in print order; none for a bar the score does not have."""
        first = bisect_left(self.notes, measure_index, key=lambda note: note.measure_index)
        last = bisect_right(self.notes, measure_index, key=lambda note: note.measure_index)
        return self.notes[first:last]

    def place_of(self, label: str) -> int:
        """Index of the first bar with this printed number; beyond the last bar where none has it."""
        labels = self.labels
        return labels.index(label) if label in labels else len(labels)

    def written_pitch(self, midi: int, measure_index: int | None = None) -> WrittenPitch:
        """How a player of this part reads a sounding pitch: as it is printed, else as its key spells it.

        Looked for in one bar, by the key of this bar, or with None in the whole part, by its first key.
        """
        printed = self.notes if measure_index is None else self.notes_in(measure_index)
        for note in printed:
            octaves, apart = divmod(midi - note.midi, 12)
            if not apart:
                return WrittenPitch(note.written_step, note.written_alter, note.written_octave + octaves)
        return spelled_in_key(midi - self.transposition, self.measures[measure_index or 0].fifths)


@dataclass(frozen=True, slots=True)
class PlayedBar:
    """One bar as it comes along in the form; `pass_number` counts how often this bar has come, from 1."""

    position: int
    measure_index: int
    pass_number: int
    start_q: float  # from the start of the form


@dataclass(frozen=True, slots=True)
class PlayedNote:
    """One note as it comes along in the form."""

    note: Note
    position: int  # index of its PlayedBar
    pass_number: int
    start_q: float  # from the start of the form
    duration_q: float


@dataclass(frozen=True, slots=True)
class Form:
    """The bars in the order they are to be played, with every note placed on one time line."""

    score: Score
    bars: tuple[PlayedBar, ...]
    notes: tuple[PlayedNote, ...]
    length_q: float = field(default=0.0)


class BadScore(Exception):
    """A score a person can mend; `sentence` says what is wrong and where."""

    def __init__(self, sentence: Sentence) -> None:
        super().__init__(sentence)
        self.sentence = sentence
