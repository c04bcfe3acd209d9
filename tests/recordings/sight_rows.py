"""A row of sight reading without an exercise of its own, for tests of who may see it."""

from recordings.models import SightReading


def heard_at(bpm: float) -> dict:
    """The least of an analysis document of a take at this tempo, without a fault but its tempo."""
    percent = {"percent": round(100 * bpm / 60), "bpm": round(bpm), "marked": 60}
    fast = {"kind": "tempo_fast", "strength": False, "start_s": 0.0, "end_s": 9.0, "bars": ""}
    fast["text"] = {"code": "finding.fast", "arguments": percent}
    return {
        "recording": {"checks": [], "loudness_lufs": -20.0},
        "tuning": {"transposed_semitones": 0},
        "form": {"note_count": 10, "wrong_count": 0, "missing_count": 0, "complete": True},
        "tempo": {"metronome_bpm": bpm},
        "findings": [fast] if bpm > 66 else [],
    }


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
