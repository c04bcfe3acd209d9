from collections.abc import Iterable

from studio.models import Audition, Entry, Student


def enter(audition: Audition, students: Iterable[Student]) -> int:
    """Enter each student on their own instrument and level and return how many are new."""
    before = audition.entries.count()
    Entry.objects.bulk_create(
        [
            Entry(audition=audition, student=student, instrument=student.instrument, level=student.level)
            for student in students
        ],
        ignore_conflicts=True,
    )
    return audition.entries.count() - before
