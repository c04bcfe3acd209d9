"""What the pages of sight reading show: the room, and one exercise."""

from dataclasses import dataclass

from django.http import HttpRequest

from recordings.access import entries_of_staff, players_of, plays_for
from recordings.models import SightReading
from recordings.sight.levels import LEVELS
from recordings.sight.told import told_of
from recordings.takes.required import requirements_of
from repertoire.notation.write.sight.look import to_look_at
from repertoire.paging import page_of
from repertoire.show.engraved import engraved_svg
from studio.models import Entry, Requirement, Student, User

LOOK_S = 30
COUNTED_BEATS = 4


@dataclass(frozen=True, slots=True)
class Choice:
    """A piece of music an exercise can be made after; `students` learn it."""

    requirement: Requirement
    students: tuple[Student, ...]


def choices_of(user: User) -> list[Choice]:
    """What this person's students, or the person, are to play; each music once for each instrument."""
    entries = entries_of_staff(user) if user.is_staff else Entry.objects.filter(student__in=players_of(user))
    carried = list(entries.select_related("student").order_by("student__name", "pk"))
    by_kind = requirements_of(carried)
    learning: dict[int, tuple[Requirement, list[Student]]] = {}
    for entry in carried:
        for requirement in by_kind[entry.audition_id, entry.instrument, entry.level]:
            learning.setdefault(requirement.pk, (requirement, []))[1].append(entry.student)
    found = [Choice(requirement, tuple(dict.fromkeys(who))) for requirement, who in learning.values()]
    return sorted(found, key=lambda choice: (choice.requirement.instrument, choice.requirement.excerpt.title))


def room_context(request: HttpRequest, user: User) -> dict:
    """The room: what can be made, and what there is, newest first."""
    rows = SightReading.objects.set_by_staff(user) if user.is_staff else SightReading.objects.own_of(user)
    shown = rows.select_related("student", "set_by", "requirement__excerpt").defer(
        "musicxml", "result", "requirement__excerpt__musicxml"
    )
    return {
        "choices": choices_of(user),
        "levels": LEVELS,
        "page": page_of(request, shown.order_by("-made_at", "-pk")),
    }


def is_shown(user: User, reading: SightReading) -> bool:
    """Whether the music is seen: by its player from the first look on."""
    unseen = reading.may_be_played and reading.looked_at is None
    return not (unseen and plays_for(user, reading.student))


def drawn(reading: SightReading, width_px: int) -> str:
    """The exercise as SVG."""
    return engraved_svg(reading.excerpt, width_px, ribbon_room=False, fingerings={})


def reading_context(user: User, reading: SightReading, *, width_px: int, error: str = "") -> dict:
    """One exercise: what to look at, its music once it is looked at, what was heard once it is played."""
    own, shown = plays_for(user, reading.student), is_shown(user, reading)
    excerpt = reading.excerpt
    return {
        "reading": reading,
        "own": own,
        "excerpt": excerpt,
        "svg": drawn(reading, width_px) if shown else "",
        "width_px": width_px,
        "look_at": to_look_at(excerpt.score) if shown else (),
        "look_s": LOOK_S,
        "count_beats": _counted(excerpt.score.measures[0]),
        "told": told_of(reading),
        "levels": LEVELS,
        "error": error,
    }


def _counted(first) -> int:
    """One bar is counted in, or as many as make four beats."""
    beats = max(1, round(first.length_q / _beat_q(first)))
    return beats * max(1, round(COUNTED_BEATS / beats))


def _beat_q(first) -> float:
    compound = first.beat_type == 8 and first.beats % 3 == 0
    return 1.5 if compound else 4.0 / first.beat_type
