"""When a part of the studio that ended is started again, and when that is given up: no clock, no processes.

A ready-made runner was looked at: those that fit in one `pip install` (honcho and its like) stop all parts
when one ends, and those that restart (circus, supervisord) are servers with a configuration of their own.
"""

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Patience:
    """Chosen so that a passing trouble (a full disk, a database that restarts) has two minutes to pass."""

    first_pause_s: float = 0.5
    longest_pause_s: float = 30.0
    # Longer than a part takes to find on a busy machine that it cannot start; after it, all is forgotten.
    ran_well_s: float = 20.0
    most_early_ends: int = 10


@dataclass
class Record:
    """How one part has ended so far; an early end is one before it had run well."""

    patience: Patience = field(default_factory=Patience)
    ends: int = 0
    early_ends_in_a_row: int = 0

    def add_end(self, ran_s: float) -> None:
        self.ends += 1
        self.early_ends_in_a_row = 0 if ran_s >= self.patience.ran_well_s else self.early_ends_in_a_row + 1

    def given_up_because(self, exit_code: int) -> str | None:
        """Why the part, whose last end was with `exit_code`, is not started again; None where it is.

        A part that ends by itself right after its first start has a bad setting, which no waiting mends.
        Killed by a signal (a negative code), it has not said so.
        """
        early = self.early_ends_in_a_row
        if self.ends == early == 1 and exit_code >= 0:
            return "right after its first start"
        if early >= self.patience.most_early_ends:
            return f"{early} times in a row soon after it was started"
        return None

    @property
    def pause_s(self) -> float:
        """Before the next start: doubled with every early end in a row."""
        doublings = max(0, self.early_ends_in_a_row - 1)
        return min(self.patience.longest_pause_s, self.patience.first_pause_s * 2**doublings)


def manner(exit_code: int) -> str:
    """How a process ended, for a sentence; a negative code is the signal that killed it."""
    return (
        f"was killed (signal {-exit_code})" if exit_code < 0 else f"ended by itself (exit code {exit_code})"
    )
