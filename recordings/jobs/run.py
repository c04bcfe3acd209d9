"""One analysis from claim to result: the row is the job, and only the holder of its claim may write.

A worker may die at any moment, and a message may come twice or never. So a row is claimed by
compare-and-set in the order of `turns`, kept by a heartbeat, finished in one transaction with the drafted
review, and sent for again by the sweep (`queue`) when it stalls.
"""

import logging
import subprocess
import sys
import uuid

from django.conf import settings
from django.db import InterfaceError, OperationalError, transaction

from recordings.jobs import queue, request, turns
from recordings.jobs.failures import OUR_FAULT, TOO_MANY_ATTEMPTS
from recordings.jobs.heartbeat import ClaimLost, Heartbeat
from recordings.jobs.unusable import unusable
from recordings.models import Analysis, Correction, Take
from recordings.reviews.draft import draft_review
from recordings.upload.on_disk import on_disk

log = logging.getLogger(__name__)

# Trouble that may pass: a full or busy disk, a storage or database that does not answer, a child process
# that was killed (`AnalysisInterrupted` is a `ChildProcessError`, and so an `OSError`).
_PASSING = (OSError, OperationalError, InterfaceError)


def measure(analysis_id: int) -> bool:
    """Measure the take whose turn it is, named or not; True where a result was written."""
    worker = uuid.uuid4().hex
    analysis = _claimed(analysis_id, worker)
    if analysis is None:
        return False
    try:
        take = Take.objects.with_everything().defer("analysis__result").get(pk=analysis.take_id)
        result = _run(analysis, take, worker)
        if result is not None:
            _finish(analysis, take, worker, result)
        return result is not None
    except ClaimLost:
        log.warning("Analysis %s passed to another worker; this one let go.", analysis.pk)
        return False
    except _PASSING as trouble:
        log.warning("Analysis %s met a passing trouble: %s", analysis.pk, type(trouble).__name__)
        _hand_back(analysis, worker)
        return False
    except Exception:
        analysis.mark_failed(OUR_FAULT(), worker=worker)
        raise


def _claimed(analysis_id: int, worker: str) -> Analysis | None:
    """The first in line that no other worker took meanwhile; None where nothing waits."""
    for pk in turns.in_line(named=analysis_id):
        analysis = Analysis.objects.filter(pk=pk).defer("result").first()
        if analysis and analysis.claim_for(worker):
            return analysis
    return None


def warm_up() -> None:
    """Pay for the slow first imports and compilations when a worker starts, instead of on somebody's take.

    In a child, as the analyses themselves are: what is compiled is kept on disk for all that follow.
    """
    code = "from recordings.analysis.analyse import warm_up; warm_up()"
    done = subprocess.run([sys.executable, "-c", code], cwd=settings.BASE_DIR, capture_output=True)
    if done.returncode:
        log.warning("Warming up failed: %s", done.stderr.decode(errors="replace")[-500:])


def _hand_back(analysis: Analysis, worker: str) -> None:
    if analysis.attempts >= settings.ANALYSIS_MAX_ATTEMPTS:
        analysis.mark_failed(TOO_MANY_ATTEMPTS(), worker=worker)
    else:
        analysis.hand_back(worker)


def _run(analysis: Analysis, take: Take, worker: str) -> dict | None:
    """The analysis document; None where nothing can be measured, with the reason stored as a sentence."""
    from recordings.analysis.process.in_child import (
        AnalysisFailed,
        AnalysisInterrupted,
        AnalysisStopped,
        analyse_file_in_child,
    )

    with Heartbeat(analysis, worker) as heartbeat, on_disk(take) as path:
        try:
            return analyse_file_in_child(
                path,
                take.requirement.excerpt.musicxml,
                request.form_options(take.requirement),
                request.settings_for(take.requirement),
                request.captions_for(take.requirement),
                corrections=request.corrections_of(take.correction, take.requirement.excerpt),
                timeout_s=settings.ANALYSIS_TIMEOUT_S,
                memory_mb=settings.ANALYSIS_MEMORY_MB,
                max_seconds=settings.TAKE_MAX_MINUTES * 60,
                on_progress=heartbeat.report,
                keep_going=heartbeat.holds_claim,
            )
        except AnalysisStopped as stopped:
            raise ClaimLost from stopped
        except AnalysisInterrupted as interrupted:
            log.warning("Analysis %s: %s", analysis.pk, interrupted)
            raise
        except AnalysisFailed as trouble:
            if trouble.details:
                log.error("Analysis %s failed: %s", analysis.pk, trouble.details)
            reason = Analysis.Unusable.UNREADABLE if trouble.of_the_file else ""
            analysis.mark_failed(trouble.sentence, worker=worker, unusable=reason)
            return None


@transaction.atomic
def _finish(analysis: Analysis, take: Take, worker: str, result: dict) -> None:
    """Write result and draft together, or neither; no draft where the player is asked to record again.

    A take that a teacher has corrected is at the desk: nobody but the teacher sends that one back.
    """
    reason = unusable(result) if take.correction is None else ""
    score_hash = take.requirement.excerpt.content_hash
    if not analysis.finish(worker, result, score_hash=score_hash, unusable=reason):
        raise ClaimLost
    if not reason or take.hear_anyway_at:
        draft_review(take, result)
    if Correction.objects.in_force(take.pk) != take.correction:  # said while it was measured
        queue.measure_again(analysis, at_desk=True)
