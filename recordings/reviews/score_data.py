"""What the score page draws and says of a measured take: the ribbons' data, and the same in words bar by bar.

Works on the analysis document (`recordings/analysis/`); times are seconds in the take,
deviations cents from the temperament at the take's own tuning.
"""

from collections import Counter, defaultdict
from statistics import median

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy
from django.utils.translation import ngettext

from recordings.models import Take
from recordings.words import bars_in_words
from repertoire.notation.score import BadScore, Measure, Score

# The pale band of the pitch ribbon where the document names no tolerance: analysis' own default.
TOLERANCE_CENTS = 10.0
_TIMES = (_lazy("first time"), _lazy("second time"), _lazy("third time"), _lazy("fourth time"))
_TRIES = (_lazy("first try"), _lazy("second try"), _lazy("third try"), _lazy("fourth try"))
SIGNS = {-2: "𝄫", -1: "♭", 0: "", 1: "♯", 2: "𝄪"}
SHARPS = ("C", "C♯", "D", "D♯", "E", "F", "F♯", "G", "G♯", "A", "A♯", "B")


def ribbon_data(take: Take) -> dict:
    """JSON for the page's scripts; without a measurement its lists are empty and only playback works."""
    result = take.analysis.result or {}
    requirement = take.requirement
    names = note_names(requirement.excerpt.score)
    return {
        "bars": [
            {
                "position": bar["position"],
                "measure": bar["measure_id"],
                "bar": bar["bar"],
                "pass": bar["pass"],
                "start_s": bar["start_s"],
                "end_s": bar["end_s"],
            }
            for bar in result.get("bars", [])
        ],
        "notes": [
            _note(note, names, requirement.excerpt.score.transposition) for note in result.get("notes", [])
        ],
        "tempo": [
            {"position": bar["position"], "bpm": bar["bpm"], "confidence": bar["confidence"]}
            for bar in result.get("tempo", {}).get("bars", [])
        ],
        "marked_bpm": float(requirement.marked_bpm),
        "low_bpm": float(requirement.low_bpm),
        "high_bpm": float(requirement.high_bpm),
        "tolerance_cents": tolerance_of(result),
        # Printed bars that were to be played, so that a bar not heard can say so.
        "asked": sorted({measure.measure_id for measure in _asked(take)}),
        "printed": {measure.measure_id: measure.number for measure in requirement.excerpt.score.measures},
        "words": ribbon_words(),
    }


def _asked(take: Take) -> list[Measure]:
    requirement = take.requirement
    try:
        form = requirement.form
    except BadScore:  # measured before a correction, by which bars are asked for that this music lacks
        form = requirement.excerpt.form(with_repeats=requirement.with_repeats)
    return [form.score.measures[bar.measure_index] for bar in form.bars]


def ribbon_words() -> dict:
    """The sentences the scripts fill in; names in braces are theirs."""
    return {
        "pitch": _("Pitch, note by note"),
        "pulse": _("Pulse, bar by bar"),
        "pitch_label": _("pitch"),
        "pulse_label": _("pulse"),
        "place": _("Bar {bar}, beat {beat}, {name}:"),
        "high": _("{cents} cents high"),
        "low": _("{cents} cents low"),
        "even": _("in tune"),
        "unsure": _("not sure, please listen"),
        "missing": _("not heard"),
        "wrong": _("another note heard"),
        "wrong_as": _("heard as {heard}"),
        "unjudged": _("pitch not judged"),
        "unjudged_why": _("pitch not judged ({reason})"),
        "bar_tempo": _("Bar {bar}: {bpm} beats a minute, {verdict}"),
        "below": _("below the range"),
        "within": _("within the range"),
        "above": _("above the range"),
        "not_heard": _("not heard"),
        "not_asked": _("Bar {bar} is not asked for here."),
        "bar_not_heard": _("Bar {bar} was not heard in this take."),
        "bar": _("bar {bar}"),
        "bar_and_time": _("bar {bar}, {time}"),
        "times": [str(name) for name in _TIMES],
        "time": _("time {n}"),
    }


def tolerance_of(result: dict) -> float:
    return float(result.get("settings", {}).get("tolerance_cents") or TOLERANCE_CENTS)


def note_names(score: Score) -> dict[str, str]:
    """The written name of every printed note by its id: "F♯5"."""
    return {
        note.note_id: f"{note.written_step}{SIGNS.get(note.written_alter, '')}{note.written_octave}"
        for note in score.notes
    }


def written_name(sounding_midi: int, transposition: int) -> str:
    written = sounding_midi - transposition
    return f"{SHARPS[written % 12]}{written // 12 - 1}"


def _note(note: dict, names: dict[str, str], transposition: int) -> dict:
    heard = note.get("heard_midi")
    return {
        "id": note["note_id"],
        "name": names.get(note["note_id"], ""),
        "position": note["position"],
        "bar": note["bar"],
        "beat": note["beat"],
        "pass": note["pass"],
        "status": note["status"],
        "heard": None if heard is None else written_name(round(heard), transposition),
        "onset_s": note["onset_s"],
        "offset_s": note["offset_s"],
        "cents": note["deviation_cents"],
        "reason": note.get("reason"),
    }


def bar_rows(take: Take) -> list[dict]:
    """The ribbons in words, one row a played bar: bar, pass, times, tempo and what there is to say."""
    result = take.analysis.result or {}
    requirement = take.requirement
    names = note_names(requirement.excerpt.score)
    transposition = requirement.excerpt.score.transposition
    tempo = {bar["position"]: bar["bpm"] for bar in result.get("tempo", {}).get("bars", [])}
    notes = defaultdict(list)
    for note in result.get("notes", []):
        notes[note["position"]].append(note)
    band = (float(requirement.low_bpm), float(requirement.high_bpm))
    rows = []
    tries = tries_of(result)
    for bar, which in zip(result.get("bars", []), tries, strict=True):
        row = {**{name: bar[name] for name in ("bar", "pass", "start_s", "end_s")}, "which": which}
        if bar.get("attempt_left"):
            # The same bar comes again further down, with its notes and its tempo.
            rows.append({**row, "bpm": None, "tempo_words": "", "pitch_words": "", "said": [_("broken off")]})
            continue
        bpm, played = tempo.get(bar["position"]), notes[bar["position"]]
        said = _said(played, names, transposition, tolerance_of(result))
        words = _tempo_words(bpm, band)
        rows.append(
            {**row, "bpm": bpm, "tempo_words": words, "pitch_words": _pitch_words(played), "said": said}
        )
    return rows


def tries_of(result: dict) -> list[str]:
    """What tells apart the rows of one bar, a row each: "second time" of a repeat, "second try" of a restart.

    Empty for a bar that came along once.
    """
    bars = result.get("bars", [])
    wanted, seen = Counter(bar["position"] for bar in bars), Counter()
    words = []
    for bar in bars:
        seen[bar["position"]] += 1
        which = [_numbered(_TIMES, bar["pass"], _("time %(n)d"))] if bar["pass"] > 1 else []
        if wanted[bar["position"]] > 1:
            which.append(_numbered(_TRIES, seen[bar["position"]], _("try %(n)d")))
        words.append(", ".join(which))
    return words


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


def _said(notes: list[dict], names: dict, transposition: int, tolerance_cents: float) -> list[str]:
    said = []
    missing = sum(note["status"] == "missing" for note in notes)
    if missing:
        said.append(ngettext("%(n)d note not heard", "%(n)d notes not heard", missing) % {"n": missing})
    for note in notes:
        name, cents = names.get(note["note_id"], ""), note["deviation_cents"]
        if note["status"] == "wrong_pitch":
            heard = note.get("heard_midi")
            said.append(
                _("%(name)s: another note heard") % {"name": name}
                if heard is None
                else _("%(name)s: heard as %(heard)s")
                % {"name": name, "heard": written_name(round(heard), transposition)}
            )
        elif cents is not None and abs(cents) > tolerance_cents:
            words = _("%(name)s %(cents)d cents high") if cents > 0 else _("%(name)s %(cents)d cents low")
            unsure = " " + _("(not sure)") if note["status"] == "uncertain" else ""
            said.append(words % {"name": name, "cents": round(abs(cents))} + unsure)
    return said
