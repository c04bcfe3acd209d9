"""The analysis in a child process with limits on time and memory.

A subprocess, not multiprocessing: a pool worker is a daemon and may have no multiprocessing children.
The job goes in as JSON over stdin; progress and the result come back as lines of JSON over stdout.
"""

import json
import os
import queue
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any

from recordings.analysis import sentences
from recordings.analysis.document.contract import AnalysisSettings, CaptionSpec

ROOT = Path(__file__).resolve().parents[3]  # where `recordings` and `repertoire` are found


ASK_EVERY_S = 1.0  # how often `keep_going` is asked


class AnalysisFailed(Exception):
    """The take could not be measured. The message is for a person; `details` for the log."""

    def __init__(self, sentence: str, *, details: str = "") -> None:
        super().__init__(sentence)
        self.details = details


class AnalysisStopped(Exception):
    """The caller no longer wants the result; the child has been ended."""


def analyse_file_in_child(
    path: Path | str,
    musicxml: str,
    form_options: dict[str, Any],
    settings: AnalysisSettings,
    captions: tuple[CaptionSpec, ...] = (),
    *,
    timeout_s: float = 600.0,
    memory_mb: int = 3000,
    max_seconds: float = 3600.0,
    on_progress: Callable[[str, float], None] | None = None,
    keep_going: Callable[[], bool] | None = None,
) -> dict[str, Any]:
    """Decode and analyse `path` against a canonical score; the contract's document.

    `form_options` are keyword arguments of `forms.play`: with_repeats, bars. `keep_going` is asked every
    second; once it says no, the child is ended. Raises `AnalysisFailed`, `AnalysisStopped`.
    """
    job = {
        "path": str(path), "musicxml": musicxml, "form_options": form_options, "settings": asdict(settings),
        "captions": [asdict(c) for c in captions], "memory_mb": memory_mb, "max_seconds": max_seconds,
    }  # fmt: skip
    process = _start()
    try:
        deadline = time.monotonic() + timeout_s
        return _follow(process, json.dumps(job), deadline, on_progress, keep_going)
    finally:
        if process.poll() is None:
            process.kill()
        process.wait()
        for pipe in (process.stdin, process.stdout, process.stderr):
            if pipe:
                pipe.close()


def _start() -> subprocess.Popen[str]:
    environment = {**os.environ, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    environment["PYTHONPATH"] = os.pathsep.join(filter(None, [str(ROOT), os.environ.get("PYTHONPATH", "")]))
    return subprocess.Popen(
        [sys.executable, "-m", "recordings.analysis.process.child"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        text=True, encoding="utf-8", env=environment, cwd=str(ROOT),
    )  # fmt: skip


def _follow(process, job: str, deadline: float, on_progress, keep_going) -> dict[str, Any]:
    lines: queue.Queue[str | None] = queue.Queue()
    errors: list[str] = []
    reader = threading.Thread(target=_collect, args=(process.stderr, errors), daemon=True)
    reader.start()
    threading.Thread(target=_pump, args=(process.stdout, lines), daemon=True).start()
    threading.Thread(target=_send, args=(process.stdin, job), daemon=True).start()
    result = None
    while (line := _next_line(lines, deadline, keep_going)) is not None:
        message = json.loads(line)
        if "failed" in message:
            raise AnalysisFailed(message["failed"], details=message.get("details", ""))
        if "stage" in message and on_progress:
            on_progress(message["stage"], message["share"])
        result = message.get("result", result)
    code = process.wait()
    reader.join(timeout=1.0)
    if result is None:
        details = f"child ended with {code}: {''.join(errors)[-2000:]}"
        raise AnalysisFailed(
            sentences.FAILED_MEMORY if code in (-9, 137) else sentences.FAILED_OTHER, details=details
        )
    return result


def _next_line(lines: "queue.Queue[str | None]", deadline: float, keep_going) -> str | None:
    """The child's next line, None at its end; looks at the clock and at `keep_going` while it waits."""
    while True:
        if keep_going and not keep_going():
            raise AnalysisStopped
        left = deadline - time.monotonic()
        if left <= 0:
            raise AnalysisFailed(sentences.FAILED_TIME)
        try:
            return lines.get(timeout=min(left, ASK_EVERY_S))
        except queue.Empty:
            continue


def _pump(stream, lines: "queue.Queue[str | None]") -> None:
    for line in stream:
        if line.startswith("{"):
            lines.put(line)
    lines.put(None)


def _collect(stream, errors: list[str]) -> None:
    for line in stream:
        errors.append(line)
        del errors[:-200]


def _send(stream, job: str) -> None:
    try:
        stream.write(job)
        stream.close()
    except (BrokenPipeError, ValueError):
        return
