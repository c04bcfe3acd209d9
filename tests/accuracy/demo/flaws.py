"""Was the flaw built into a demo take told, of the right kind and at the right place? And what else was told?

Strict by flaw: stops, restarts, omitted repeats, hesitations and wrong notes must be told at their very bars,
none more and none less. Notes off pitch must be told in their direction, and rushing or dragging must point
at a stretch of the sound, where each covers two thirds of the other. A slow take's share of the mark must be
right within two hundredths. Of an uneven take, at least one run must be told, and only bars with runs.
Noise, hum and clipping must be the one thing the recording's checks complain of.
"""

from collections.abc import Callable

MOST = 2 / 3  # chosen before the figures were seen, 25 November 2026
RATIO_WITHIN = 0.02

Check = Callable[[dict, dict], bool]
# What a take with this flaw may rightly be told besides: the flaw's own kinds, and what follows from them.
RIGHTLY: dict[str, frozenset[str]] = {
    "none": frozenset(),
    "flat_notes": frozenset({"intonation", "intonation_habit"}),
    "sharp_notes": frozenset({"intonation", "intonation_habit"}),
    "rushing": frozenset({"rushing", "tempo_stretch"}),
    "dragging": frozenset({"dragging", "tempo_stretch"}),
    "slow": frozenset({"tempo_slow"}),
    # The uneven take is played with pitches 8 cents astray (standard deviation): single notes are off indeed.
    "uneven": frozenset({"uneven_run", "intonation"}),
    "repeat_left_out": frozenset({"repeat_left_out", "left_out"}),
    "jump_left_out": frozenset({"repeat_left_out", "left_out"}),
    "restarted": frozenset({"restart"}),
    "stopped_early": frozenset({"stopped_early", "missing_note"}),
    "hesitation": frozenset({"hesitation"}),
    "wrong_notes": frozenset({"wrong_note", "missing_note"}),
    "noise": frozenset({"recording"}),
    "hum": frozenset({"recording"}),
    "clipping": frozenset({"recording"}),
}


def is_found(truth: dict, analysis: dict) -> bool:
    """True where the analysis tells `truth["flaw"]` as the module says."""
    return _CHECKS[truth["flaw"]](truth, analysis)


def false_alarms(truth: dict, analysis: dict) -> int:
    """How many faults are told that the take does not have, by kind."""
    allowed = RIGHTLY[truth["flaw"]]
    return sum(not one["strength"] and one["kind"] not in allowed for one in analysis["findings"])


def _reported(analysis: dict, *kinds: str) -> list[dict]:
    return [finding for finding in analysis["findings"] if finding["kind"] in kinds]


def _bars(findings: list[dict]) -> set[str]:
    return {bar for finding in findings for bar in finding["bar_list"]}


def _bent(sign: int) -> Check:
    def check(truth: dict, analysis: dict) -> bool:
        reported = _reported(analysis, "intonation", "intonation_stretch", "intonation_habit")
        named = _bars([one for one in reported if sign * (one["evidence"]["median_cents"] or 0.0) > 0.0])
        known = set(truth["where"])
        both = len(named & known)
        return bool(named) and both >= MOST * len(known) and both >= MOST * len(named)

    return check


def _drifts(kind: str) -> Check:
    def check(truth: dict, analysis: dict) -> bool:
        start_s, end_s = truth["span_s"]
        for one in _reported(analysis, kind):
            both_s = min(end_s, one["end_s"]) - max(start_s, one["start_s"])
            if both_s >= MOST * (end_s - start_s) and both_s >= MOST * (one["end_s"] - one["start_s"]):
                return True
        return False

    return check


def _at_the_bars(*kinds: str) -> Check:
    return lambda truth, analysis: _bars(_reported(analysis, *kinds)) == set(truth["where"])


def _slow(truth: dict, analysis: dict) -> bool:
    known = sorted(bpm for _position, _start_s, _end_s, bpm in truth["bars"])[len(truth["bars"]) // 2]
    reported = _reported(analysis, "tempo_slow")
    return any(
        abs(one["evidence"]["ratio"] - known / truth["marked_bpm"]) <= RATIO_WITHIN for one in reported
    )


def _uneven(truth: dict, analysis: dict) -> bool:
    named = _bars(_reported(analysis, "uneven_run"))
    return bool(named) and named <= set(truth["where"])


def _restarted(truth: dict, analysis: dict) -> bool:
    again = [one["bar"] for one in analysis["form"]["restarts"]]
    return bool(_reported(analysis, "restart")) and again == truth["where"]


def _stopped(truth: dict, analysis: dict) -> bool:
    reported = _reported(analysis, "stopped_early")
    return len(reported) == 1 and [analysis["form"]["ended_bar"]] == truth["where"]


def _recording(kind: str, *, rightly: frozenset[str] = frozenset()) -> Check:
    def check(_truth: dict, analysis: dict) -> bool:
        checks = analysis["recording"]["checks"]
        reported = {one["kind"] for one in checks if one["verdict"] != "fine"}
        return kind in reported and reported <= {kind, *rightly}

    return check


_CHECKS: dict[str, Check] = {
    "flat_notes": _bent(-1),
    "sharp_notes": _bent(+1),
    "rushing": _drifts("rushing"),
    "dragging": _drifts("dragging"),
    "slow": _slow,
    "uneven": _uneven,
    "repeat_left_out": _at_the_bars("repeat_left_out"),
    "jump_left_out": _at_the_bars("repeat_left_out"),
    "restarted": _restarted,
    "stopped_early": _stopped,
    "hesitation": _at_the_bars("hesitation"),
    "wrong_notes": _at_the_bars("wrong_note"),
    "noise": _recording("noise"),
    # Hum is noise too.
    "hum": _recording("hum", rightly=frozenset({"noise"})),
    "clipping": _recording("clipping"),
}
