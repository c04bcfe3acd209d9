"""What a teacher said of a take by ear, against the measuring: frozen data that the analysis is given.

Seconds are those of the take, bars and notes are named by their ids in print and by the time they come in the
take, counted from 1. All of it is the teacher's word: the follower is held to it and does not weigh it.
"""

from dataclasses import asdict, dataclass
from typing import Any

BEGINS, ENDS, ORDER, BAR_LINE, RIGHT_NOTE = "begins", "ends", "order", "bar_line", "right_note"
NEAR_S = (
    0.05  # a bar line this far from where it was put counts as standing there: two frames of the follower
)


@dataclass(frozen=True, slots=True)
class BarLine:
    """The first note of this bar begins at `time_s`."""

    measure_id: str
    pass_number: int
    time_s: float


@dataclass(frozen=True, slots=True)
class RightNote:
    """This note was played as printed."""

    note_id: str
    pass_number: int


@dataclass(frozen=True, slots=True)
class Corrections:
    """`order`: measure indexes as they were played; empty where the follower is to find out by itself."""

    begins_s: float | None = None
    ends_s: float | None = None
    order: tuple[int, ...] = ()
    bar_lines: tuple[BarLine, ...] = ()
    right_notes: tuple[RightNote, ...] = ()

    def __bool__(self) -> bool:
        return self != NONE

    def to_json(self) -> dict[str, Any]:
        """Plain values that `from_json` reads back."""
        return asdict(self)

    @classmethod
    def from_json(cls, document: dict[str, Any]) -> "Corrections":
        """Those of `to_json`; raises KeyError or TypeError for anything else."""
        return cls(
            document["begins_s"],
            document["ends_s"],
            tuple(document["order"]),
            tuple(BarLine(**line) for line in document["bar_lines"]),
            tuple(RightNote(**note) for note in document["right_notes"]),
        )


NONE = Corrections()


@dataclass(frozen=True, slots=True)
class Outcome:
    """One correction, and whether the measurement could be made to agree with it.

    `what` is BEGINS, ENDS, ORDER, BAR_LINE or RIGHT_NOTE; `where` the id of its bar or note, else empty.
    """

    what: str
    where: str
    pass_number: int
    applied: bool
