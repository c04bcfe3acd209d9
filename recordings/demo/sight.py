"""The demo's exercises to be read at sight: one a teacher has set for a student."""

from recordings.sight.new import make
from studio.models import Entry, Requirement

LEVEL, SEED = 3, 20


def load_sight_readings(requirements: dict[str, Requirement], entries: dict[tuple[str, int], Entry]) -> None:
    first = min(requirements.values(), key=lambda requirement: requirement.pk)
    student = min((e for e in entries.values() if first.is_for(e)), key=lambda entry: entry.pk).student
    make([student], first, LEVEL, seed=SEED, set_by=student.teacher)
