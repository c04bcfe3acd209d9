"""What is asked of a take, as every stage reads it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class AnalysisSettings:
    """What the studio asks for. Tempi count `beat_unit_q` quarters a minute; `marked_bpm` 0: no mark."""

    marked_bpm: float
    beat_unit_q: float
    tempo_low_bpm: float | None = None
    tempo_high_bpm: float | None = None
    temperament: str = "equal"
    keynote: int | None = None  # as written, on the line of fifths with C at 0; just places are built on it
    intonation_judged: bool = True
    tolerance_cents: float = 10.0
    may_be_stopped: bool = False  # judges may stop the player anywhere: an early end is no fault
    open_strings: tuple[int, ...] = ()  # sounding; empty where the instrument has none
    # The music's own tempo where print begins without a mark; later marks are read against it.
    printed_q_per_minute: float | None = None
