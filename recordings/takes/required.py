"""What entries carry, for many at once."""

from collections import defaultdict
from collections.abc import Sequence

from studio.models import Entry, Requirement


def requirements_of(entries: Sequence[Entry]) -> dict[tuple, list[Requirement]]:
    """Requirements by (audition, instrument, level); the printed music itself stays in the database."""
    grouped: dict[tuple, list[Requirement]] = defaultdict(list)
    wanted = Requirement.objects.filter(audition__in={entry.audition_id for entry in entries})
    for requirement in wanted.select_related("excerpt").defer("excerpt__musicxml"):
        grouped[requirement.audition_id, requirement.instrument, requirement.level].append(requirement)
    return grouped
