"""The analysis in a bounded process: a job goes in as JSON, progress and a result come as lines of JSON."""

import json
import threading
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any

from recordings.analysis import sentences
from recordings.analysis.corrections import NONE, Corrections
from recordings.analysis.document.contract import AnalysisSettings, CaptionSpec
from repertoire.notation.bounded import Ended, Ending, ProcessLimits, run
from repertoire.notation.sentence import Sentence, from_json
from repertoire.notation.warm import WarmParent

CHILD = "recordings.analysis.process.child"


class _Warm(threading.local):
    """Each thread that measures keeps one process warm, which ends with it."""

    def __init__(self) -> None:
        self.parent = WarmParent(CHILD)


_warm = _Warm()


class AnalysisFailed(Exception):
    """The take could not be measured. `sentence` is for a person; `details` for the log.

    `of_the_file`: nobody can hear this file, so that only another recording helps.
    """

    def __init__(self, sentence: Sentence, *, details: str = "", of_the_file: bool = False) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.details = details
        self.of_the_file = of_the_file


class AnalysisInterrupted(ChildProcessError):
    """The process was killed or crashed, which says nothing of the take: it is to be tried again."""


class AnalysisStopped(Exception):
    """The caller no longer wants the result; the process has been ended."""


def analyse_file_in_child(
    path: Path | str,
    musicxml: str,
    form_options: dict[str, Any],
    settings: AnalysisSettings,
    captions: tuple[CaptionSpec, ...] = (),
    *,
    corrections: Corrections = NONE,
    timeout_s: float = 600.0,
    memory_mb: int = 3000,
    max_seconds: float = 3600.0,
    on_progress: Callable[[str, float], None] | None = None,
    keep_going: Callable[[], bool] | None = None,
) -> dict[str, Any]:
    """Decode and analyse `path` against a canonical score; the contract's document.

    `form_options` are keyword arguments of `forms.play`: with_repeats, bars. `keep_going` is asked every
    second; once it says no, the process is ended. Raises `AnalysisFailed` where the take is at fault or a
    limit was reached, `AnalysisInterrupted` and `AnalysisStopped`.
    """
    job = {
        "path": str(path), "musicxml": musicxml, "form_options": form_options, "settings": asdict(settings),
        "captions": [asdict(c) for c in captions], "max_seconds": max_seconds,
        "corrections": corrections.to_json(),
    }  # fmt: skip
    answer: dict[str, Any] = {}

    def receive(line: bytes) -> None:
        message = json.loads(line) if line.startswith(b"{") else {}
        if "stage" not in message:
            answer.update(message)
        elif on_progress:
            on_progress(message["stage"], message["share"])

    ended = run(
        CHILD,
        data=json.dumps(job).encode(),
        limits=ProcessLimits(time_s=timeout_s, memory_mb=memory_mb, data_only=True),
        on_line=receive,
        keep_going=keep_going,
        start=_warm.parent,
    )
    if "failed" in answer:
        failed = answer["failed"]
        raise AnalysisFailed(from_json(failed), details=answer["details"], of_the_file=answer["of_the_file"])
    if "result" in answer:
        return answer["result"]
    raise _trouble(ended)


def _trouble(ended: Ended) -> Exception:
    if ended.how is Ending.STOPPED:
        return AnalysisStopped()
    if ended.how is Ending.TOO_LONG:
        return AnalysisFailed(sentences.FAILED_TIME(), details=str(ended))
    if ended.how is Ending.OUT_OF_MEMORY:
        return AnalysisFailed(sentences.FAILED_MEMORY(), details=str(ended))
    return AnalysisInterrupted(str(ended))
