"""One measured thing worth hearing."""

from dataclasses import dataclass, field

SURE, UNSURE = "sure", "unsure"


@dataclass(frozen=True, slots=True)
class Finding:
    """One sentence with the bars and seconds to hear it. `weight` ranks; `evidence` holds the numbers."""

    kind: str
    bars: str
    bar_list: tuple[str, ...]
    position: int | None
    start_s: float | None
    end_s: float | None
    text: str
    weight: float
    certainty: str = SURE
    note_count: int = 0
    evidence: dict[str, float | str | None] = field(default_factory=dict)
    note_ids: tuple[str, ...] = ()
    strength: bool = False
