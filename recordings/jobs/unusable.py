"""Whether a measured take can be judged at all, or is better recorded again at once."""

from recordings.models import Analysis

SEMITONES_OFF = 2  # one may be another pitch standard or a retuned instrument


def unusable(result: dict) -> str:
    """The reason of `Analysis.Unusable` for an analysis document; "" for a take that can be heard and marked.

    Another pitch is not held against a take with an accompaniment: whose pitch it is would be a guess.
    """
    checks = {check["kind"]: check["verdict"] for check in result["recording"]["checks"]}
    if result["recording"]["loudness_lufs"] is None and checks.get("level") == "problem":
        return Analysis.Unusable.SILENT
    if any(finding["kind"] == "not_recognised" for finding in result["findings"]):
        return Analysis.Unusable.OTHER_MUSIC
    accompanied = checks.get("accompaniment", "fine") != "fine"
    if abs(result["tuning"]["transposed_semitones"]) >= SEMITONES_OFF and not accompanied:
        return Analysis.Unusable.OTHER_PITCH
    return ""
