"""Instruments, as `instruments.toml` beside this file lists them: clefs, transposition, range, strings.

Ranges are for choosing a comfortable octave for a scale sheet and for asking the director about a note, not
for refusing music outside them.
"""

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from repertoire.notation.pitches import midi_of

DATA = Path(__file__).with_name("instruments.toml")
FIELDS = {"name", "family", "clefs", "sounding", "transposition", "strings", "temperament"}
FIELDS |= {"intonation_judged", "scales_from_octave"}
TEMPERAMENTS = ("equal", "just", "pythagorean")


@dataclass(frozen=True, slots=True)
class Instrument:
    """One instrument; pitches are MIDI numbers (A4 = 69).

    `octave_written_low` is the lowest written octave (middle C begins octave 4) in which a scale may begin.
    `strings` are the open strings as they sound, from the lowest; empty where there are none to stop.
    `intonation_judged` is false where the player does not make the pitch, as on the piano.
    """

    key: str
    name: str
    clefs: tuple[str, ...]  # "G2", "C3", "F4": sign and line, the usual one first
    transposition: int  # sounding minus written, in semitones
    octave_written_low: int
    sounding_low: int
    sounding_high: int
    family: str
    intonation_judged: bool = True
    strings: tuple[int, ...] = ()
    temperament: str = "equal"

    @property
    def clef(self) -> str:
        """The usual clef, by sign and line."""
        return self.clefs[0]

    @property
    def written_low(self) -> int:
        """MIDI number of the lowest note as the player reads it."""
        return self.sounding_low - self.transposition

    @property
    def written_high(self) -> int:
        """MIDI number of the highest note as the player reads it."""
        return self.sounding_high - self.transposition


def read_instruments(text: str) -> dict[str, Instrument]:
    """The instruments of a data file by key, in its order; raises `ValueError` naming the bad entry."""
    instruments = {}
    for key, row in tomllib.loads(text).items():
        try:
            instruments[key] = _instrument(key, row)
        except (KeyError, TypeError, ValueError) as error:
            raise ValueError(f"instrument {key}: {error}") from error
    return instruments


def _instrument(key: str, row: dict[str, Any]) -> Instrument:
    unknown = set(row) - FIELDS
    if unknown:
        raise ValueError(f"{', '.join(sorted(unknown))} is not known")
    low, high = (midi_of(name) for name in row["sounding"])
    if low >= high:
        raise ValueError("the range goes down")
    temperament = row.get("temperament", "equal")
    if temperament not in TEMPERAMENTS:
        raise ValueError(f"the temperament is one of {', '.join(TEMPERAMENTS)}")
    transposition = int(row.get("transposition", 0))
    return Instrument(
        key=key,
        name=row["name"],
        clefs=tuple(row["clefs"]),
        transposition=transposition,
        octave_written_low=row.get("scales_from_octave", (low - transposition) // 12 - 1),
        sounding_low=low,
        sounding_high=high,
        family=row["family"],
        intonation_judged=row.get("intonation_judged", True),
        strings=tuple(midi_of(name) for name in row.get("strings", ())),
        temperament=temperament,
    )


INSTRUMENTS: dict[str, Instrument] = read_instruments(DATA.read_text(encoding="utf-8"))
