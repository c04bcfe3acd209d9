"""Instruments: clef, transposition and the range a studio's student is asked to play.

Transpositions (sounding minus written, in semitones) and ranges are common practice, written from memory;
they are for choosing a comfortable octave for a scale sheet, not for refusing music outside them.
`sounding_high` is where audition scales usually stop, below what professionals reach.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Instrument:
    """One instrument; pitches are MIDI numbers (A4 = 69).

    `octave_written_low` is the lowest written octave (middle C begins octave 4) in which a scale may begin.
    `intonation_judged` is false where the player does not make the pitch, as on the piano.
    """

    key: str
    name: str
    clef: str  # "G2", "C3", "F4": sign and line
    transposition: int
    octave_written_low: int
    sounding_low: int
    sounding_high: int
    family: str
    intonation_judged: bool = True

    @property
    def written_low(self) -> int:
        return self.sounding_low - self.transposition

    @property
    def written_high(self) -> int:
        return self.sounding_high - self.transposition


_ALL = (
    Instrument("violin", "Violin", "G2", 0, 3, 55, 100, "strings"),  # G3 to E7
    Instrument("viola", "Viola", "C3", 0, 3, 48, 91, "strings"),  # C3 to G6
    Instrument("cello", "Cello", "F4", 0, 2, 36, 81, "strings"),  # C2 to A5
    Instrument("double_bass", "Double bass", "F4", -12, 2, 28, 67, "strings"),  # E1 to G4
    Instrument("flute", "Flute", "G2", 0, 4, 60, 96, "woodwind"),  # C4 to C7
    Instrument("piccolo", "Piccolo", "G2", 12, 4, 74, 108, "woodwind"),  # D5 to C8
    Instrument("oboe", "Oboe", "G2", 0, 3, 58, 89, "woodwind"),  # B flat 3 to F6
    Instrument("cor_anglais", "Cor anglais", "G2", -7, 3, 52, 81, "woodwind"),  # E3 to A5
    Instrument("clarinet_b_flat", "Clarinet in B flat", "G2", -2, 3, 50, 89, "woodwind"),  # D3 to F6
    Instrument("clarinet_a", "Clarinet in A", "G2", -3, 3, 49, 88, "woodwind"),  # C sharp 3 to E6
    Instrument("bassoon", "Bassoon", "F4", 0, 1, 34, 72, "woodwind"),  # B flat 1 to C5
    Instrument("alto_saxophone", "Alto saxophone", "G2", -9, 3, 49, 81, "woodwind"),  # D flat 3 to A5
    Instrument("tenor_saxophone", "Tenor saxophone", "G2", -14, 3, 44, 76, "woodwind"),  # A flat 2 to E5
    Instrument("trumpet_b_flat", "Trumpet in B flat", "G2", -2, 3, 52, 82, "brass"),  # E3 to B flat 5
    Instrument("horn_f", "Horn in F", "G2", -7, 3, 46, 77, "brass"),  # B flat 2 to F5
    Instrument("trombone", "Trombone", "F4", 0, 2, 40, 72, "brass"),  # E2 to C5
    Instrument("euphonium", "Euphonium", "F4", 0, 2, 40, 70, "brass"),  # E2 to B flat 4
    Instrument("tuba", "Tuba", "F4", 0, 1, 28, 65, "brass"),  # E1 to F4
    Instrument("guitar", "Guitar", "G2", -12, 3, 40, 83, "strings", intonation_judged=False),  # E2 to B5
    Instrument("piano", "Piano", "G2", 0, 4, 21, 108, "keyboard", intonation_judged=False),  # A0 to C8
    Instrument("other", "Other instrument", "G2", 0, 4, 48, 96, "other"),
)

INSTRUMENTS: dict[str, Instrument] = {instrument.key: instrument for instrument in _ALL}
