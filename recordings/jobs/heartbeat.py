"""The heartbeat of a worker that measures: a thread that writes it beside the waiting main thread."""

import threading

from django.conf import settings
from django.db import DatabaseError, connection

from recordings.models import Analysis

# At least four heartbeats may go missing before another worker takes over.
LONGEST_PAUSE_S = 5.0


class ClaimLost(Exception):
    """Another worker has taken this analysis over: stop, and write nothing."""


class Heartbeat:
    """Writes a heartbeat with the last stage reached into `analysis` every few seconds, until the block ends.

    A database that does not answer is tried again after the next pause: if it stays away for long, another
    worker takes the row over, and this one learns of it at the first heartbeat that gets through.
    """

    def __init__(self, analysis: Analysis, worker: str, *, pause_s: float | None = None) -> None:
        self._analysis, self._worker = analysis, worker
        self._pause_s = pause_s or min(LONGEST_PAUSE_S, settings.ANALYSIS_SILENT_AFTER_S / 5)
        self._stage, self._percent = "", 0
        self._lost, self._ended = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._write_until_ended, name="heartbeat", daemon=True)

    def __enter__(self) -> "Heartbeat":
        self._thread.start()
        return self

    def __exit__(self, *_error) -> None:
        self._ended.set()
        self._thread.join()

    def holds_claim(self) -> bool:
        return not self._lost.is_set()

    def report(self, stage: str, fraction: float) -> None:
        """Take note of the stage reached; a new stage is written at once, so that the page can show it."""
        is_new, self._stage = stage != self._stage, stage
        self._percent = max(self._percent, min(99, round(fraction * 100)))
        if is_new:
            self._write()
        if not self.holds_claim():
            raise ClaimLost

    def _write(self) -> None:
        try:
            if not self._analysis.write_heartbeat(
                self._worker, stage=self._stage, progress_percent=self._percent
            ):
                self._lost.set()
        except DatabaseError:
            pass

    def _write_until_ended(self) -> None:
        try:
            while not self._ended.wait(self._pause_s) and self.holds_claim():
                self._write()
        finally:
            connection.close()
