"""The measured take in words, one row a played bar, and the stretches that were begun again.

Works on the analysis document (`recordings/analysis/`); times are seconds in the take,
deviations cents from the temperament at the take's own tuning.
"""

from collections import Counter, defaultdict
from statistics import median

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy
from django.utils.translation import ngettext

from recordings.models import Take
from recordings.reviews.score_data import TIMES, NoteNames, tolerance_of
from repertoire.words import bars_in_words

_TRIES = (_lazy("first try"), _lazy("second try"), _lazy("third try"), _lazy("fourth try"))


def bar_rows(take: Take) -> list[dict]:
    """The ribbons in words, one row a played bar: bar, pass, times, tempo and what there is to say."""
    result = take.analysis.result or {}
    requirement = take.requirement
    names = NoteNames(requirement.excerpt.score)
    tempo = {bar["position"]: bar["bpm"] for bar in result.get("tempo", {}).get("bars", [])}
    notes = defaultdict(list)
    for note in result.get("notes", []):
        notes[note["position"]].append(note)
    band = (float(requirement.low_bpm), float(requirement.high_bpm))
    rows = []
    for bar, which in zip(result.get("bars", []), tries_of(result), strict=True):
        row = {**{name: bar[name] for name in ("bar", "pass", "start_s", "end_s")}, "which": which}
        if bar.get("attempt_left"):
            # The same bar comes again further down, with its notes and its tempo.
            rows.append(
                {**row, "bpm": None, "tempo_words": "", "pitch_words": "", "remarks": [_("broken off")]}
            )
            continue
        bpm, played = tempo.get(bar["position"]), notes[bar["position"]]
        remarks = _remarks_on_notes(played, names, tolerance_of(result))
        words = _tempo_words(bpm, band)
        rows.append(
            {**row, "bpm": bpm, "tempo_words": words, "pitch_words": _pitch_words(played), "remarks": remarks}
        )
    return rows


def tries_of(result: dict) -> list[str]:
    """What tells apart the rows of one bar, a row each: "second time" of a repeat, "second try" of a restart.

    Empty for a bar that came along once.
    """
    bars = result.get("bars", [])
    wanted, seen = Counter(bar["position"] for bar in bars), Counter[int]()
    words = []
    for bar in bars:
        seen[bar["position"]] += 1
        which = [numbered_time(bar["pass"])] if bar["pass"] > 1 else []
        if wanted[bar["position"]] > 1:
            which.append(_numbered(_TRIES, seen[bar["position"]], _("try %(n)d")))
        words.append(", ".join(which))
    return words


def numbered_time(number: int) -> str:
    """ "second time" for 2."""
    return _numbered(TIMES, number, _("time %(n)d"))


def _numbered(names: tuple, number: int, beyond: str) -> str:
    return str(names[number - 1]) if number <= len(names) else beyond % {"n": number}


def broken_off(result: dict) -> list[dict]:
    """Stretches of bars that were begun again later: bars ("Bars 12-13"), start and end in seconds."""
    stretches: list[list[dict]] = []
    before = None
    for bar in result.get("bars", []):
        if bar.get("attempt_left"):
            if before is None or not before.get("attempt_left") or bar["position"] <= before["position"]:
                stretches.append([])
            stretches[-1].append(bar)
        before = bar
    return [_stretch(bars[0], bars[-1]) for bars in stretches]


def _stretch(first: dict, last: dict) -> dict:
    bars = first["bar"] if first["bar"] == last["bar"] else f"{first['bar']}-{last['bar']}"
    return {"bars": bars_in_words(bars), "start_s": first["start_s"], "end_s": last["end_s"]}


def _tempo_words(bpm: float | None, band: tuple[float, float]) -> str:
    if bpm is None:
        return _("not sure")
    if bpm < band[0]:
        return _("below the range")
    return _("above the range") if bpm > band[1] else _("within the range")


def _pitch_words(notes: list[dict]) -> str:
    """Where the bar's judged notes lie on the whole: their middle deviation in cents."""
    judged = [note["deviation_cents"] for note in notes if note["deviation_cents"] is not None]
    if not judged:
        return _("not judged")
    cents = round(median(judged))
    if cents == 0:
        return _("on the whole in tune")
    size = abs(cents)
    if cents > 0:
        words = ngettext("on the whole %(n)d cent high", "on the whole %(n)d cents high", size)
    else:
        words = ngettext("on the whole %(n)d cent low", "on the whole %(n)d cents low", size)
    return words % {"n": size}


def _remarks_on_notes(notes: list[dict], names: NoteNames, tolerance_cents: float) -> list[str]:
    remarks = []
    missing = sum(note["status"] == "missing" for note in notes)
    if missing:
        remarks.append(ngettext("%(n)d note not heard", "%(n)d notes not heard", missing) % {"n": missing})
    for note in notes:
        name, cents = names.of(note["note_id"]), note["deviation_cents"]
        if note["status"] == "wrong_pitch":
            heard = note.get("heard_midi")
            remarks.append(
                _("%(name)s: another note heard") % {"name": name}
                if heard is None
                else _("%(name)s: heard as %(heard)s")
                % {"name": name, "heard": names.heard(note["note_id"], heard)}
            )
        elif cents is not None and abs(cents) > tolerance_cents:
            words = _("%(name)s %(cents)d cents high") if cents > 0 else _("%(name)s %(cents)d cents low")
            unsure = " " + _("(not sure)") if note["status"] == "uncertain" else ""
            remarks.append(words % {"name": name, "cents": round(abs(cents))} + unsure)
    return remarks
