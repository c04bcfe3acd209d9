"""What is told of loud and soft and of vibrato, held to what was played.

The level of a note is its velocity on the soundfont standard's curve plus the level at which that sample
speaks (measured once for each pitch, as the sample's own cents are). Levels are held between neighbouring
printed marks, accents against the three notes on either side, hairpins by their direction.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from .takes import Take

NEIGHBOURS = 3
VIBRATO_LEAST_CENTS, STILL_MOST_CENTS = 8.0, 3.0  # half widths; between them either answer is fair


@dataclass(frozen=True, slots=True)
class LoudAndSoft:
    """dB told minus dB played of steps between printed levels and of accents; hairpins told rightly."""

    steps_off_db: tuple[float, ...] = ()
    accents_off_db: tuple[float, ...] = ()
    hairpins_right: tuple[bool, ...] = ()


@dataclass(frozen=True, slots=True)
class Vibrato:
    """One note: true and told half width in cents and rate in Hz; told None where none was told."""

    cents: float
    hz: float
    reported_cents: float | None
    told_hz: float | None

    @property
    def plain(self) -> bool:
        return self.cents >= VIBRATO_LEAST_CENTS

    @property
    def still(self) -> bool:
        return self.cents <= STILL_MOST_CENTS


def loud_and_soft(take: Take, document: dict) -> LoudAndSoft:
    """Hold the document's levels, accents and hairpins to the take."""
    reported = document["dynamics"]
    return LoudAndSoft(
        tuple(_steps_off(take, reported["levels"])),
        tuple(_accents_off(take, reported["accents"])),
        tuple(_hairpins(take, reported["hairpins"])),
    )


def _steps_off(take: Take, levels: list[dict]) -> list[float]:
    """Of every step from one printed level to the next: how far what is told lies from what was played."""
    starts = [level["position"] for level in levels] + [len(take.form.bars)]
    played = [
        float(np.mean([n.level_db for n in take.truth.notes if first <= n.position < after] or [np.nan]))
        for first, after in pairwise(starts)
    ]
    off = [
        (b["relative_db"] - a["relative_db"]) - (after - before)
        for (a, before), (b, after) in pairwise(zip(levels, played, strict=True))
    ]
    return [value for value in off if np.isfinite(value)]


def _accents_off(take: Take, accents: list[dict]) -> list[float]:
    notes = take.truth.notes
    printed = [take.form.notes[note.index].note for note in notes]
    place = {
        (one.note_id, note.position): at for at, (one, note) in enumerate(zip(printed, notes, strict=True))
    }
    off = []
    for accent in accents:
        at = place.get((accent["note_id"], accent["position"]))
        if at is None:
            continue
        around = range(max(0, at - NEIGHBOURS), min(len(notes), at + NEIGHBOURS + 1))
        near = [notes[i].level_db for i in around if i != at and not printed[i].accent]
        off.append(accent["above_neighbours_db"] - (notes[at].level_db - float(np.median(near))))
    return off


def _hairpins(take: Take, hairpins: list[dict]) -> list[bool]:
    """Played as printed in every take here, so each is to be heard in its own direction."""
    return [one["heard"] == ("rose" if one["kind"] == "crescendo" else "fell") for one in hairpins]


def vibrato_of(take: Take, document: dict) -> tuple[Vibrato, ...]:
    """Every note long enough for its swaying to be known, with what was told of it."""
    reported = {(note["note_id"], note["position"]): note for note in document["notes"]}
    found = []
    for note, (hz, cents) in zip(take.truth.notes, take.vibrato, strict=True):
        one = reported.get((take.form.notes[note.index].note.note_id, note.position))
        if hz and one is not None and note.status == "played" and one["deviation_cents"] is not None:
            found.append(Vibrato(cents, hz, one["vibrato_extent_cents"], one["vibrato_rate_hz"]))
    return tuple(found)
