"""The other end of bounded.py: read one job from stdin, write progress and the result to stdout."""

import json
import resource
import sys
import traceback
from typing import Any

from recordings.analysis import sentences


def main() -> int:
    job = json.loads(sys.stdin.read())
    _limit(job["memory_mb"])
    try:
        _say({"result": _run(job)})
    except MemoryError:
        _say({"failed": sentences.FAILED_MEMORY, "details": "MemoryError"})
    except Exception as error:  # the parent needs a sentence whatever happens; details go to its log
        sentence = str(error) if _is_refusal(error) else sentences.FAILED_OTHER
        _say({"failed": sentence, "details": traceback.format_exc()[-4000:]})
    return 0


def _run(job: dict[str, Any]) -> dict[str, Any]:
    from recordings.analysis.analyse import analyse
    from recordings.analysis.document.contract import AnalysisSettings, CaptionSpec
    from recordings.analysis.recording.decode import decode
    from repertoire.notation.order import forms
    from repertoire.notation.read import reading  # after the limit is set: they load large libraries

    _say({"stage": sentences.STAGE_DECODE, "share": 0.0})
    audio = decode(job["path"], max_seconds=job["max_seconds"])
    options = dict(job["form_options"])
    if options.get("bars"):
        options["bars"] = tuple(options["bars"])
    form = forms.play(reading.load_canonical(job["musicxml"]), **options)
    captions = tuple(CaptionSpec(**caption) for caption in job["captions"])
    analysis = analyse(
        audio, form, AnalysisSettings(**job["settings"]), captions=captions,
        progress=lambda name, share: _say({"stage": name, "share": share}),
    )  # fmt: skip
    return analysis.to_json()


def _is_refusal(error: Exception) -> bool:
    from recordings.analysis.recording.decode import NotAudio
    from repertoire.notation.score import BadScore

    return isinstance(error, NotAudio | BadScore)


def _limit(memory_mb: int) -> None:
    """Bound the data this process may hold; address space alone would count what libraries only map."""
    try:
        resource.setrlimit(resource.RLIMIT_DATA, (memory_mb << 20, memory_mb << 20))
    except (ValueError, OSError):  # macOS refuses; the time limit still holds there
        return


def _say(message: dict[str, Any]) -> None:
    sys.stdout.write(json.dumps(message) + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
