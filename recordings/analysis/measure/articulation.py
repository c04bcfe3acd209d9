"""How long notes sound against what is printed: short, held, joined.

Ratios of the time a note sounds to the time until the next one begins: one more than the key overlap ratio
(R. Bresin and G. U. Battel, "Articulation strategies in expressive piano performance", Journal of New Music
Research 29, 2000, from memory). Nothing is raised; kinds with fewer than four notes are None.
"""

import itertools
from dataclasses import dataclass

import numpy as np

from recordings.analysis.follow.note_result import PLAYED, NoteResult
from repertoire.notation.score import Form, Note


@dataclass(frozen=True, slots=True)
class NoteLength:
    """How long one note sounds, up to 1.5 times the time until the next."""

    note_id: str
    position: int
    pass_number: int
    ratio: float  # sounding length to the time until the next note
    printed: str  # "staccato", "slurred", "tenuto", "plain"


@dataclass(frozen=True, slots=True)
class Articulation:
    """Median ratios; None where fewer than four such notes were heard."""

    staccato_ratio: float | None
    slurred_ratio: float | None
    plain_ratio: float | None
    notes: tuple[NoteLength, ...]
    tenuto_ratio: float | None = None


def measure(form: Form, notes: tuple[NoteResult, ...]) -> Articulation:
    """The lengths of confident notes that the next printed note follows at once; `notes` in any order."""
    timed = [n for n in notes if n.onset_s is not None and n.status == PLAYED and n.evidence > 0.3]
    timed.sort(key=lambda n: n.began_s)
    lengths = []
    for note, following in itertools.pairwise(timed):
        played = form.notes[note.form_index]
        gap = following.began_s - note.began_s
        next_q = form.notes[following.form_index].start_q
        # only where the next printed note follows at once
        if gap < 0.05 or abs(next_q - played.start_q - played.duration_q) > 1e-3:
            continue
        kind = _printed(played.note)
        ratio = min((note.ended_s - note.began_s) / gap, 1.5)
        lengths.append(NoteLength(note.note_id, note.position, note.pass_number, round(ratio, 3), kind))
    return Articulation(
        _median(lengths, "staccato"), _median(lengths, "slurred"), _median(lengths, "plain"), tuple(lengths),
        _median(lengths, "tenuto"),
    )  # fmt: skip


def _printed(note: Note) -> str:
    if note.staccato:
        return "staccato"
    return "slurred" if note.slurred_to_next else "tenuto" if note.tenuto else "plain"


def _median(lengths: list[NoteLength], kind: str) -> float | None:
    ratios = [n.ratio for n in lengths if n.printed == kind]
    return float(np.median(ratios)) if len(ratios) >= 4 else None
