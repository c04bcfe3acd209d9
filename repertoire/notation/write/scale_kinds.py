"""What scales and arpeggios are made of: their degrees, their spelling, the order their notes are played in.

Tonal kinds are spelled letter by letter. Chromatic and whole tone scales have no key: by convention they are
spelled with sharps going up and flats coming down, the tonic keeping its own name. A dominant seventh takes
the key it leads to; a diminished seventh none, its letters a third
apart. Common practice, no published source.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from repertoire.notation.pitches import LETTERS, WrittenPitch, fifths_of, on_line_of_fifths

# Where the twelve names begin on the line of fifths: F to A sharp, and G flat to B.
FLATTEST_RISING, FLATTEST_FALLING = -1, -6
ALL_DEGREES = (0, 1, 2, 3, 4, 5, 6)
TRIAD = (0, 2, 4)
SEVENTH = (0, 2, 4, 6)
GROUP_OF_SCALE = 4  # notes in a group of a broken scale; a broken chord takes its own number of notes


@dataclass(frozen=True, slots=True)
class Kind:
    """Semitones above the tonic going up and coming down, and the letters they fall on.

    Without `letters` the notes are spelled by pitch alone. `key_fifths` is added to the major key's fifths
    for the signature; None is no signature at all.
    """

    up: tuple[int, ...]
    down: tuple[int, ...]
    letters: tuple[int, ...] | None
    key_fifths: int | None
    mode: str = "major"

    @property
    def is_chord(self) -> bool:
        """Whether it is an arpeggio."""
        return self.letters in (TRIAD, SEVENTH)


def _same(steps: tuple[int, ...], letters: tuple[int, ...] | None, fifths: int | None, mode: str) -> Kind:
    return Kind(steps, steps, letters, fifths, mode)


KINDS = {
    "major": _same((0, 2, 4, 5, 7, 9, 11), ALL_DEGREES, 0, "major"),
    "natural_minor": _same((0, 2, 3, 5, 7, 8, 10), ALL_DEGREES, -3, "minor"),
    "harmonic_minor": _same((0, 2, 3, 5, 7, 8, 11), ALL_DEGREES, -3, "minor"),
    "melodic_minor": Kind((0, 2, 3, 5, 7, 9, 11), (0, 2, 3, 5, 7, 8, 10), ALL_DEGREES, -3, "minor"),
    "chromatic": _same(tuple(range(12)), None, None, "major"),
    "whole_tone": _same((0, 2, 4, 6, 8, 10), None, None, "major"),
    "major_arpeggio": _same((0, 4, 7), TRIAD, 0, "major"),
    "minor_arpeggio": _same((0, 3, 7), TRIAD, -3, "minor"),
    "dominant_seventh": _same((0, 4, 7, 10), SEVENTH, -1, "major"),
    "diminished_seventh": _same((0, 3, 6, 9), SEVENTH, None, "major"),
}
STEPS = {name: (KINDS[name].up, KINDS[name].down) for name in KINDS if KINDS[name].letters == ALL_DEGREES}
ARPEGGIO_OF = {name: "major_arpeggio" if name == "major" else "minor_arpeggio" for name in STEPS}
PATTERNS = ("straight", "thirds", "broken")


def key_fifths(kind: Kind, letter: str, alter: int) -> int:
    """The key signature as sharps (flats below 0); 0 where the kind has none."""
    return 0 if kind.key_fifths is None else fifths_of(letter, alter) + kind.key_fifths


def tones_of(kind: Kind, tonic: WrittenPitch, octaves: int, pattern: str) -> list[WrittenPitch]:
    """The tones in playing order, from the tonic up `octaves` and back to it.

    In thirds and in broken groups the top tonic sounds once, at the end of the last rising group, and the
    tonic ends the last falling one, so that nothing goes beyond them.
    """
    top = len(kind.up) * octaves
    rising = [_pitch_at(kind, tonic, place, falling=False) for place in range(top + 1)]
    falling = [_pitch_at(kind, tonic, place, falling=True) for place in range(top + 1)]
    if pattern == "straight":
        return [*rising, *reversed(falling[:-1])]
    groups = list(_groups(kind, top, pattern))
    return [
        *(rising[place] for group in groups for place in group),
        *(falling[place] for group in reversed(groups[:-1]) for place in reversed(group)),
    ]


def _groups(kind: Kind, top: int, pattern: str) -> Iterator[tuple[int, ...]]:
    """The rising groups by their places on the ladder."""
    if pattern == "thirds":
        yield from ((place, place + 2) for place in range(top - 1))
        return
    size = len(kind.up) if kind.is_chord else GROUP_OF_SCALE
    yield from (tuple(range(place, place + size)) for place in range(top - size + 2))


def _pitch_at(kind: Kind, tonic: WrittenPitch, place: int, *, falling: bool) -> WrittenPitch:
    octave, degree = divmod(place, len(kind.up))
    semitones = (kind.down if falling else kind.up)[degree]
    if degree == 0:
        return WrittenPitch(tonic.letter, tonic.alter, tonic.octave + octave)
    if kind.letters is None:
        flattest = FLATTEST_FALLING if falling else FLATTEST_RISING
        return on_line_of_fifths(tonic.midi + 12 * octave + semitones, flattest)
    letters_up = LETTERS.index(tonic.letter) + kind.letters[degree]
    letter, octaves_up = LETTERS[letters_up % 7], letters_up // 7
    written_octave = tonic.octave + octave + octaves_up
    natural = WrittenPitch(letter, 0, written_octave).midi
    return WrittenPitch(letter, tonic.midi + 12 * octave + semitones - natural, written_octave)
