"""One measured thing worth hearing."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from recordings.analysis.follow.note_result import NoteResult
from repertoire.notation.sentence import Sentence

SURE, UNSURE = "sure", "unsure"
BEFORE_S, AFTER_S = 0.5, 0.3  # heard around the notes of a place
NEAR_S = 1.5  # places nearer to each other are heard in one


@dataclass(frozen=True, slots=True)
class Heard:
    """One place of a finding in the take, from just before its first note to just after its last."""

    bar: str  # printed label of the bar it begins in
    start_s: float
    end_s: float
    note_ids: tuple[str, ...] = ()


Evidence = Mapping[str, float | str | None]


@dataclass(frozen=True, slots=True)
class Finding:
    """One sentence with the bars and seconds to hear it. `weight` ranks; `evidence` holds the numbers."""

    kind: str
    bars: str
    bar_list: tuple[str, ...]
    position: int | None
    start_s: float | None
    end_s: float | None
    text: Sentence
    weight: float
    certainty: str = SURE
    note_count: int = 0
    evidence: Evidence = field(default_factory=dict)
    note_ids: tuple[str, ...] = ()
    strength: bool = False
    places: tuple[Heard, ...] = ()  # each to be heard by itself; none where the finding has no time


def heard_places(notes: Iterable[NoteResult]) -> tuple[Heard, ...]:
    """The places in the take at which these notes sound, in the order of time; notes not heard have none."""
    found: list[Heard] = []
    for note in sorted((n for n in notes if n.onset_s is not None), key=lambda n: n.began_s):
        start_s, end_s = max(note.began_s - BEFORE_S, 0.0), note.ended_s + AFTER_S
        if found and start_s - found[-1].end_s < NEAR_S:
            last = found.pop()
            found.append(
                Heard(last.bar, last.start_s, max(end_s, last.end_s), (*last.note_ids, note.note_id))
            )
        else:
            found.append(Heard(note.bar, start_s, end_s, (note.note_id,)))
    return tuple(found)
