"""A row of sight reading without an exercise of its own, for tests of who may see it."""

from recordings.models import SightReading


def sight_reading(requirement, student, **facts) -> SightReading:
    facts = {"content_hash": "1", "sound": "", **facts}
    return SightReading.objects.create(
        student=student,
        requirement=requirement,
        instrument=requirement.instrument,
        level=1,
        seed=1,
        musicxml=requirement.excerpt.musicxml,
        bpm=60,
        beat_unit="1.0",
        **facts,
    )
