"""An exercise's take measured as any other take is, against the exercise."""

import logging
from dataclasses import asdict

from django.conf import settings
from django.db.models import F
from django.db.models.functions import Now

from recordings.models import SightReading
from recordings.models.sight_reading import MOST_ATTEMPTS
from recordings.sight.queue import MEASURE_TIMEOUT_S, nobody_at
from recordings.upload.on_disk import on_disk
from repertoire.notation.keynote import keynote

log = logging.getLogger(__name__)

# Longer than any exercise lasts at half its tempo.
LONGEST_S = 180


def measure(pk: int) -> bool:
    """Measure one that waits; True where this call stored what was heard."""
    claimed = SightReading.objects.waiting().filter(nobody_at(), pk=pk)
    if not claimed.update(begun_at=Now(), attempts=F("attempts") + 1):
        return False
    reading = SightReading.objects.get(pk=pk)
    from recordings.analysis.process.in_child import AnalysisFailed, AnalysisInterrupted

    waiting = SightReading.objects.waiting().filter(pk=pk)
    try:
        result = _run(reading)
    except AnalysisFailed as trouble:
        if trouble.details:
            log.error("Sight reading %s failed: %s", pk, trouble.details)
        waiting.update(state=SightReading.State.FAILED, failure=asdict(trouble.sentence))
        return False
    except (AnalysisInterrupted, OSError) as trouble:
        log.warning("Sight reading %s met a passing trouble: %s", pk, type(trouble).__name__)
        if reading.attempts >= MOST_ATTEMPTS:
            waiting.update(state=SightReading.State.FAILED)
        return False
    return bool(waiting.update(state=SightReading.State.DONE, result=result))


def _run(reading: SightReading) -> dict:
    from recordings.analysis.document.contract import AnalysisSettings
    from recordings.analysis.process.in_child import analyse_file_in_child

    excerpt = reading.excerpt
    instrument = excerpt.instrument_facts
    asked = AnalysisSettings(
        marked_bpm=float(reading.bpm),
        beat_unit_q=excerpt.beat_unit_q,
        temperament=instrument.temperament,
        keynote=keynote(excerpt.score),
        intonation_judged=instrument.intonation_judged,
        open_strings=instrument.strings,
    )
    with on_disk(reading) as path:
        return analyse_file_in_child(
            path,
            reading.musicxml,
            {"with_repeats": True, "bars": None},
            asked,
            timeout_s=MEASURE_TIMEOUT_S,
            memory_mb=settings.ANALYSIS_MEMORY_MB,
            max_seconds=LONGEST_S,
        )
