"""Takes grouped into sittings: the takes of one requirement recorded within one stretch of time."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from recordings.models import Take

# A longer pause than this between two takes starts a new sitting (the design's definition).
LONGEST_PAUSE = timedelta(minutes=45)


@dataclass(frozen=True, slots=True)
class Sitting:
    takes: tuple[Take, ...]  # latest first

    @property
    def began_at(self) -> datetime:
        return self.takes[-1].uploaded_at


def sittings(takes: Iterable[Take]) -> list[Sitting]:
    """Sittings, latest first, of the takes of one requirement by one student in any order."""
    groups: list[list[Take]] = []
    for take in sorted(takes, key=lambda take: (take.uploaded_at, take.pk), reverse=True):
        if groups and groups[-1][-1].uploaded_at - take.uploaded_at <= LONGEST_PAUSE:
            groups[-1].append(take)
        else:
            groups.append([take])
    return [Sitting(tuple(group)) for group in groups]
