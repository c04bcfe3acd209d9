"""What got better since the same student's last take of the same music: two analysis documents in, one out.

Only what lies clear of the measuring's own unrest is said; where nothing does, nothing is. Two students are
never set side by side. Limits: the benchmark's errors (cents within 4 for 95 of 100 long notes; tempo by bar
within 3 %), doubled where two takes are compared; chosen November 2026.
"""

from dataclasses import asdict
from typing import Any

import numpy as np

from recordings.analysis import sentences
from recordings.analysis.statistics import robust_spread
from repertoire.notation.sentence import PitchName, Sentence

CONFIDENT = 0.8  # of being told right; documents before 2.1 told the evidence here, where it is stricter
SAME_MUSIC = 0.9  # of the printed notes in common
LEAST_SHARE = 0.6  # of the music heard, in both takes
NEARER_CENTS, NEAR_CENTS, NEARER_NOTES = 8.0, 10.0, 3
WHOLE_CENTS, WHOLE_RATIO, WHOLE_NOTES = 4.0, 0.7, 30
STEADIER_PERCENT, STEADIER_RATIO, STEADIER_BARS = 2.5, 0.7, 8
TEMPO_NEARER = 0.06  # of the marked tempo
MOST_POINTS = 3
SLIPS = ("wrong_note", "missing_note")
WEIGHT = 5.0  # before the other strengths

Document = dict[str, Any]


def progress(before: Document, after: Document) -> dict[str, Any] | None:
    """A finding in the document's form that says what is better now, or None."""
    if not _comparable(before, after):
        return None
    rules = (_slips_gone, _stops_gone, _pitches_nearer, _steadier, _whole_nearer, _tempo_nearer)
    points = [point for rule in rules for point in rule(before, after)]
    if not points:
        return None
    chosen = points[:MOST_POINTS]
    bars = _in_printed_order(after, [bar for _, bars, _ in chosen for bar in bars])
    return {
        "kind": "strength_progress", "bars": ", ".join(bars), "bar_list": bars, "position": None,
        "start_s": None, "end_s": None,
        "text": asdict(sentences.PROGRESS(what=_joined([text for text, _, _ in chosen]))),
        "weight": WEIGHT, "certainty": "sure", "note_count": sum(count for _, _, count in chosen),
        "evidence": {}, "note_ids": [], "strength": True,
    }  # fmt: skip


Points = list[tuple[Sentence, list[str], int]]  # sentence, bars, notes it rests on


def _comparable(before: Document, after: Document) -> bool:
    if not before.get("version") or before["version"] != after.get("version"):
        return False
    documents = (before, after)
    for document in documents:
        if any(f["kind"] == "not_recognised" for f in document["findings"]):
            return False
        if document["form"]["share_played"] < LEAST_SHARE:
            return False
    ids = [{n["note_id"] for n in document["notes"]} for document in documents]
    return bool(ids[0] | ids[1]) and len(ids[0] & ids[1]) >= SAME_MUSIC * len(ids[0] | ids[1])


def _by_id(document: Document, wanted: set[str] | None = None) -> dict[str, list[dict]]:
    found: dict[str, list[dict]] = {}
    for note in document["notes"]:
        if wanted is None or note["note_id"] in wanted:
            found.setdefault(note["note_id"], []).append(note)
    return found


def _damaged(document: Document) -> bool:
    recording = document["recording"]
    return bool(recording.get("packet_errors") or recording.get("dropout_count"))


def _slips_gone(before: Document, after: Document) -> Points:
    """Slips surely told last time whose notes are now surely played, where no other slip took their place."""
    if _damaged(before) or _damaged(after) or _slip_count(after) >= _slip_count(before):
        return []
    now = _by_id(after)
    new = {bar for f in after["findings"] if f["kind"] in SLIPS for bar in f["bar_list"]}
    bars: list[str] = []
    count = 0
    for finding in before["findings"]:
        if finding["kind"] not in SLIPS or finding["certainty"] != "sure" or new & set(finding["bar_list"]):
            continue
        notes = [n for note_id in finding["note_ids"] for n in now.get(note_id, [])]
        if notes and all(n["status"] == "played" and n["confidence"] >= CONFIDENT for n in notes):
            bars += finding["bar_list"]
            count += len(finding["note_ids"])
    if not bars:
        return []
    bars = _in_printed_order(after, bars)
    text = sentences.PROGRESS_SLIPS(bars=tuple(bars), count=len(bars))
    return [(text, bars, count)]


def _in_printed_order(document: Document, bars: list[str]) -> list[str]:
    printed = list(dict.fromkeys(note["bar"] for note in document["notes"]))
    return sorted(set(bars), key=lambda bar: printed.index(bar) if bar in printed else len(printed))


def _slip_count(document: Document) -> int:
    return document["form"]["wrong_count"] + document["form"]["missing_count"]


def _stops_gone(before: Document, after: Document) -> Points:
    if _damaged(before) or after["form"]["share_played"] < before["form"]["share_played"] - 0.02:
        return []
    then, now = (len(d["tempo"]["hesitations"]) + len(d["form"]["restarts"]) for d in (before, after))
    if now or not then:
        return []
    return [(sentences.PROGRESS_STOPS(count=then), [], 0)]


def _confident_cents(document: Document, wanted: set[str]) -> np.ndarray:
    return np.array([
        n["deviation_cents"] for notes in _by_id(document, wanted).values() for n in notes
        if n["status"] == "played" and n["deviation_cents"] is not None and n["confidence"] >= CONFIDENT
    ])  # fmt: skip


def _pitches_nearer(before: Document, after: Document) -> Points:
    """Pitches told as off last time: now within 10 cents, by more than chance among so many notes."""
    points: Points = []
    for finding in before["findings"]:
        if finding["kind"] != "intonation" or finding["certainty"] != "sure":
            continue
        wanted = set(finding["note_ids"])
        then, now = _confident_cents(before, wanted), _confident_cents(after, wanted)
        if min(then.size, now.size) < NEARER_NOTES:
            continue
        was, is_now = abs(float(np.median(then))), abs(float(np.median(now)))
        if is_now <= NEAR_CENTS and was - is_now >= max(NEARER_CENTS, 2 * _unrest(then, now)):
            text = sentences.PROGRESS_PITCH(
                notes=sentences.SEVERAL(note=_note_of(finding)), bars=_in_bars(finding["bar_list"]),
                now=round(is_now), then=round(was),
            )  # fmt: skip
            points.append((text, list(finding["bar_list"]), int(now.size)))
    return points


def _unrest(*samples: np.ndarray) -> float:
    """Standard error of the difference of two medians, from their robust spreads."""
    spreads = [robust_spread(s) for s in samples]
    return float(np.sqrt(sum((1.2533 * d) ** 2 / s.size for d, s in zip(spreads, samples, strict=True))))


def _note_of(finding: dict[str, Any]) -> PitchName:
    return PitchName(finding["evidence"]["note"], int(finding["evidence"]["alter"]))


def _joined(points: list[Sentence]) -> Sentence:
    """Two or three points as one, to be read one after the other."""
    first, *rest = points
    return sentences.PROGRESS_ALSO(first=first, rest=_joined(rest)) if rest else first


def _in_bars(bars: list[str]) -> Sentence:
    if len(bars) == 1:
        return sentences.BAR_INSIDE(bars=bars[0])
    return sentences.BARS_INSIDE(bars=tuple(bars))


def _whole_nearer(before: Document, after: Document) -> Points:
    then, now = before["intonation"], after["intonation"]
    if None in (then["median_abs_cents"], now["median_abs_cents"]):
        return []
    if min(then["note_count"], now["note_count"]) < WHOLE_NOTES:
        return []
    was, is_now = then["median_abs_cents"], now["median_abs_cents"]
    all_nearer = then["mean_abs_cents"] - now["mean_abs_cents"] >= WHOLE_CENTS / 2
    if was - is_now < WHOLE_CENTS or is_now > WHOLE_RATIO * was or not all_nearer:
        return []
    text = sentences.PROGRESS_WHOLE(now=round(is_now), then=round(was))
    return [(text, [], now["note_count"])]


def _steadier(before: Document, after: Document) -> Points:
    then, now = before["tempo"], after["tempo"]
    if None in (then["steadiness_percent"], now["steadiness_percent"]):
        return []
    if min(len(then["bars"]), len(now["bars"])) < STEADIER_BARS:
        return []
    was, is_now = then["steadiness_percent"], now["steadiness_percent"]
    if was - is_now < STEADIER_PERCENT or is_now > STEADIER_RATIO * was:
        return []
    return [(sentences.PROGRESS_STEADY(now=round(is_now), then=round(was)), [], 0)]


def _bpm(document: Document) -> float | None:
    """Documents before 1.3 know only the middle of the bars' tempi."""
    tempo = document["tempo"]
    return tempo.get("metronome_bpm", tempo["median_bpm"])


def _tempo_nearer(before: Document, after: Document) -> Points:
    """Nearer the range asked for, and not paid for with more slips or with pitch."""
    settings = after["settings"]
    then, now, marked = _bpm(before), _bpm(after), settings["marked_bpm"]
    if not then or not now or not marked or _slip_count(after) > _slip_count(before):
        return []
    off = [document["intonation"]["mean_abs_cents"] or 0.0 for document in (before, after)]
    if off[1] - off[0] >= WHOLE_CENTS:
        return []
    low, high = settings["tempo_low_bpm"] or marked, settings["tempo_high_bpm"] or marked
    was, is_now = (max(low - bpm, bpm - high, 0.0) / marked for bpm in (then, now))
    if was - is_now < TEMPO_NEARER:
        return []
    return [(sentences.PROGRESS_TEMPO(now=round(now), then=round(then)), [], 0)]
