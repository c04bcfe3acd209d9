"""A small season made in a process of its own: `python -m tests.recordings.jobs.small_season WAV`.

Prints the id of the analysis that waits; the message for the worker has been sent through the real broker.
"""

import sys
from datetime import timedelta
from pathlib import Path

import django


def main(path: Path) -> None:
    django.setup()
    from django.core.files.base import File
    from django.utils import timezone

    from recordings.upload.receive import receive_take
    from repertoire.models import Excerpt, Rubric
    from studio.models import Audition, Entry, Requirement, Role, Season, Student, Studio, User
    from tests.conftest import tune

    Studio.objects.create(name="Worker Studio", time_zone="Europe/Vienna")
    teacher = User.objects.create_user(email="teacher@example.org", name="Anselm Birke")
    teacher.grant(Role.TEACHER)
    student = Student.objects.create(
        name="Mira Tannhof", instrument="violin", level="senior", teacher=teacher, is_minor=False
    )
    today, now = timezone.localdate(), timezone.now()
    season = Season.objects.create(name="Round", starts_on=today, ends_on=today + timedelta(days=60))
    audition = Audition.objects.create(
        season=season, name="Orchestra", held_on=today, closes_at=now + timedelta(days=30)
    )
    canonical = tune()
    excerpt = Excerpt.objects.create(
        title="Lamp Etude",
        instrument="violin",
        musicxml=canonical.musicxml,
        marked_bpm=96,
        bar_count=len(canonical.score.measures),
        order_text="1-2, 1-4",
    )
    rubric = Rubric.objects.create(name="Etude form")
    rubric.captions.create(position=1, name="Intonation", measured="intonation")
    requirement = Requirement.objects.create(
        audition=audition,
        instrument="violin",
        level="senior",
        excerpt=excerpt,
        rubric=rubric,
        marked_bpm=96,
        low_bpm=20,
        high_bpm=104,
        due_at=audition.closes_at,
    )
    entry = Entry.objects.create(student=student, audition=audition, instrument="violin", level="senior")
    with path.open("rb") as sound:
        received = receive_take(entry=entry, requirement=requirement, file=File(sound), by=teacher)
    print(received.take.analysis.pk)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
