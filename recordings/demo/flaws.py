"""Was the flaw built into a demo take told, of the right kind and at the right bars?"""

from collections.abc import Callable, Iterable

LEAST_BARS_SHARE = 0.5  # of the bars with bent notes, named by findings in the right direction
TUNING_HZ = 0.5  # ISO 16's own tolerance for A4 = 440 Hz


def is_found(truth: dict, analysis: dict) -> bool:
    """True where the analysis tells `truth["flaw"]`, strictly by bar where the flaw has bars."""
    return _CHECKS[truth["flaw"]](set(truth["where"]), analysis, truth)


def _bars(analysis: dict, *kinds: str, sign: int = 0) -> set[str]:
    """All bars named by findings of these kinds, only those leaning to `sign` where one is given."""
    named: set[str] = set()
    for finding in analysis["findings"]:
        leans = sign * (finding["evidence"].get("median_cents") or 0.0) > 0.0
        if finding["kind"] in kinds and (leans or not sign):
            named |= set(finding["bar_list"])
    return named


def _has(analysis: dict, kinds: Iterable[str]) -> bool:
    return any(finding["kind"] in kinds for finding in analysis["findings"])


def _bent(sign: int) -> Callable[[set[str], dict, dict], bool]:
    def check(where: set[str], analysis: dict, _truth: dict) -> bool:
        named = _bars(analysis, "intonation", "intonation_stretch", sign=sign)
        return len(named & where) >= LEAST_BARS_SHARE * len(where)

    return check


def _told(*kinds: str) -> Callable[[set[str], dict, dict], bool]:
    return lambda _where, analysis, _truth: _has(analysis, kinds)


def _at_the_bars(*kinds: str) -> Callable[[set[str], dict, dict], bool]:
    """The bars named are the known ones, none more and none less."""
    return lambda where, analysis, _truth: _bars(analysis, *kinds) == where


def _restarted(where: set[str], analysis: dict, _truth: dict) -> bool:
    return _has(analysis, ["restart"]) and {again["bar"] for again in analysis["form"]["restarts"]} == where


def _stopped(where: set[str], analysis: dict, _truth: dict) -> bool:
    return _has(analysis, ["stopped_early"]) and {analysis["form"]["ended_bar"]} == where


def _recording(kind: str) -> Callable[[set[str], dict, dict], bool]:
    def check(_where: set[str], analysis: dict, _truth: dict) -> bool:
        checks = analysis["recording"]["checks"]
        return any(one["kind"] == kind and one["verdict"] != "fine" for one in checks)

    return check


def _tuned(_where: set[str], analysis: dict, truth: dict) -> bool:
    heard = analysis["tuning"]["a4_hz"]
    return heard is not None and abs(heard - truth["a4_hz"]) <= TUNING_HZ


_CHECKS: dict[str, Callable[[set[str], dict, dict], bool]] = {
    "flat_notes": _bent(-1),
    "sharp_notes": _bent(+1),
    "rushing": _told("rushing"),
    "dragging": _told("dragging"),
    "slow": _told("tempo_slow"),
    "uneven": _told("uneven_run"),
    "repeat_left_out": _at_the_bars("repeat_left_out"),
    "jump_left_out": _at_the_bars("repeat_left_out"),
    "restarted": _restarted,
    "stopped_early": _stopped,
    "hesitation": _at_the_bars("hesitation"),
    "wrong_notes": _at_the_bars("wrong_note"),
    "noise": _recording("noise"),
    "hum": _recording("hum"),
    "clipping": _recording("clipping"),
    "tuning": _tuned,
}
