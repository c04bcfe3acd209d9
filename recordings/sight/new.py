"""New exercises to be read at sight: for one student, or the same for all who learn a piece."""

import secrets
from collections.abc import Sequence

from django.db import transaction

from recordings.models import SightReading
from repertoire.models import Excerpt
from repertoire.notation.write.sight.exercise import Exercise, write_exercise
from repertoire.notation.write.sight.material import material_of, spec_of
from repertoire.wording.words import words
from studio.models import Requirement, Student, User

SEEDS = 2**31
MOST_TRIES = 20
BEAT_UNITS = {float(value): value for value in Excerpt.BeatUnit.values}


class AllPlayed(Exception):
    """No exercise was found that nobody of them has had."""


def exercise_for(requirement: Requirement, level: int, seed: int) -> Exercise:
    """In a key, metre and range of what is asked; the same seed gives everybody the same."""
    excerpt = requirement.excerpt
    material = material_of(excerpt.score, set(requirement.order), excerpt.instrument_facts)
    return write_exercise(spec_of(material, excerpt.instrument_facts, level, seed), seed, title=words)


@transaction.atomic
def new_exercise(
    students: Sequence[Student], requirement: Requirement, level: int, *, set_by: User | None = None
) -> list[SightReading]:
    """One exercise for all of them, which none of them has had before."""
    for _try in range(MOST_TRIES):
        made = make(students, requirement, level, seed=secrets.randbelow(SEEDS), set_by=set_by)
        if made:
            return made
    raise AllPlayed


def make(
    students: Sequence[Student], requirement: Requirement, level: int, *, seed: int, set_by: User | None
) -> list[SightReading]:
    """The exercise of this seed for all of them; for nobody where one of them has had it."""
    exercise = exercise_for(requirement, level, seed)
    content_hash = Excerpt.hash_of(exercise.canonical.musicxml)
    if SightReading.objects.filter(student__in=students, content_hash=content_hash).exists():
        return []
    return [
        SightReading.objects.create(
            student=student,
            requirement=requirement,
            instrument=requirement.instrument,
            level=level,
            seed=seed,
            musicxml=exercise.canonical.musicxml,
            content_hash=content_hash,
            bpm=exercise.bpm,
            beat_unit=BEAT_UNITS[exercise.beat_unit_q],
            set_by=set_by,
        )
        for student in students
    ]
