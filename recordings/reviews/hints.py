"""What a student is told at once of a measured take: whether the recording itself is worth sending again."""

from recordings.models import Analysis
from repertoire.wording.words import words


def hints_for(analysis: Analysis) -> list[str]:
    """Sentences on a recording nothing can be made of (silent, distorted, another piece); mostly none.

    Nothing of the playing is said here: that is the teacher's to tell.
    """
    if analysis.state != Analysis.State.DONE:
        return []
    result = analysis.result or {}
    checks = result.get("recording", {}).get("checks", [])
    troubles = [words(check["text"]) for check in checks if check["verdict"] == "problem"]
    return troubles or [words(finding["text"]) for finding in _unrecognised(result)]


def is_recognised(result: dict) -> bool:
    return not _unrecognised(result)


def _unrecognised(result: dict) -> list[dict]:
    return [finding for finding in result.get("findings", []) if finding["kind"] == "not_recognised"]
