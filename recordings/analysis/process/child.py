"""The inside of the analysis's process: one job as JSON on stdin, progress and the result as lines of JSON.

Lines are `{"stage", "share"}` (share of the whole time, 0 to 1), then `{"result"}` with the contract's
document, or `{"failed", "details", "of_the_file"}` with a sentence for a person (a text, or a code with
arguments where the score is at fault), words for the log, and whether the file holds no sound to be heard.
"""

import json
import sys
import traceback
from dataclasses import asdict
from typing import Any

from recordings.analysis import sentences, stages


def main(_arguments: list[str]) -> None:
    """Read the job, write the lines. A refusal or an error becomes a line of its own.

    Raises only MemoryError and ImportError, which end the process in a way the parent knows.
    """
    job = json.loads(sys.stdin.buffer.read())
    try:
        _write({"result": _run(job)})
    except (MemoryError, ImportError):  # an ending of its own: no room for the work, or for a library
        raise
    except Exception as error:  # the parent needs a sentence whatever happens; details go to its log
        details = traceback.format_exc()[-4000:]
        _write({"failed": _sentence(error), "details": details, "of_the_file": _cannot_be_heard(error)})


def prepare() -> None:
    """For a warm parent: import and compile all that a take needs."""
    from recordings.analysis.analyse import warm_up
    from repertoire.notation.order import forms  # noqa: F401
    from repertoire.notation.read import reading  # noqa: F401

    warm_up()


def _run(job: dict[str, Any]) -> dict[str, Any]:
    from recordings.analysis.analyse import analyse
    from recordings.analysis.corrections import Corrections
    from recordings.analysis.document.contract import AnalysisSettings, CaptionSpec
    from recordings.analysis.recording.decode import decode
    from repertoire.notation.order import forms
    from repertoire.notation.read import reading

    _write({"stage": stages.DECODE, "share": 0.0})
    audio = decode(job["path"], max_seconds=job["max_seconds"])
    options = dict(job["form_options"])
    if options.get("bars"):
        options["bars"] = tuple(options["bars"])
    form = forms.play(reading.load_canonical(job["musicxml"]), **options)
    captions = tuple(CaptionSpec(**caption) for caption in job["captions"])
    analysis = analyse(
        audio, form, AnalysisSettings(**job["settings"]), captions=captions,
        corrections=Corrections.from_json(job["corrections"]),
        progress=lambda name, share: _write({"stage": name, "share": share}),
    )  # fmt: skip
    return analysis.to_json()


def _sentence(error: Exception) -> dict[str, Any]:
    from recordings.analysis.recording.decode import NotAudio
    from repertoire.notation.score import BadScore

    if isinstance(error, BadScore | NotAudio):
        return asdict(error.sentence)
    return asdict(sentences.FAILED_OTHER())


def _cannot_be_heard(error: Exception) -> bool:
    from recordings.analysis.recording.decode import NotAudio

    return isinstance(error, NotAudio)


def _write(message: dict[str, Any]) -> None:
    sys.stdout.write(json.dumps(message) + "\n")
    sys.stdout.flush()
