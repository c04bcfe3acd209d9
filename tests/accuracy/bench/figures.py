"""From the scores of many takes to the figures and their goals.

A figure is None where the run made no take for it; it is then neither met nor missed.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

import numpy as np

from .real import RealScore
from .scoring import GROSS_CENTS, RIGHT_CENTS, NoteScore, TakeScore

TUNING_STEP_CENTS = 1200.0 * np.log2(442.0 / 440.0)
MISTAKES_BUT_WRONG_NOTES = ("half_tempo", "early_stop", "no_repeat", "restart")
CONFIDENCE_STEPS = ((0.9, 1.01), (0.7, 0.9), (0.0, 0.7))
FEW_NOTES, MOST_OFF_POINTS = 100, 5.0
CALIBRATED_PERCENT = 90.0
COST = "CPU seconds per second of sound"
# what general tools reached on takes of the same kind before this analysis was written
ANCHORS = {
    "cents, long notes at their true times, median / p95": "0.5-0.7 / 1.0-3.2 c; Praat 0.5-1.0 c",
    "cents, whole analysis, clean, without cello": "0.6-2.7 / 4-14 c",
    "cents, whole analysis, clean, cello": "p95 36 c",
    "gross among confident notes, clean": "0-0.5 %, cello 2.6 %",
    "cents in a room with noise 30 dB under: median": "0.6-2.0 c",
    "onsets within 50 ms, clean": "93 %, chroma DTW 56 %",
    "the same at half tempo, stopped early, repeat left out, started again": "88-94 %, DTW 30-65 %",
    "the same with wrong and missing notes": "79 %",
    "unplayed notes claimed as played": "0-1.5 %, DTW 100 %",
    "tempo by bar within 3 %, clean, without cello": "93-100 %",
    "tempo by bar within 3 %, clean, cello": "67 %",
    "442 against 440 Hz (7.85 c), worst instrument: off by": "0.0-0.6 c",
    "AAC at 64 kb/s: shift of the median": "under 0.2 c",
    "Opus at 64 kb/s: shift of the median": "under 0.2 c",
    COST: "0.018 s",
}


@dataclass(frozen=True, slots=True)
class Figure:
    question: str
    goal: str
    reported: str
    met: bool | None  # None: no goal was set, or nothing was measured
    values: tuple[float, ...] = ()  # as `told`, unrounded
    more_is_better: bool = False
    local: bool = False  # of sounds that are not everywhere, or of this machine


@dataclass(frozen=True, slots=True)
class Run:
    """All takes of one run; `read_at_true_times`: |cents off| of long notes read at their true times."""

    scores: tuple[TakeScore, ...]
    read_at_true_times: tuple[float, ...]

    def of(self, *variants: str, cello: bool | None = None) -> list[TakeScore]:
        return [
            one
            for one in self.scores
            if one.take.recipe.variant in variants
            and (cello is None or cello == (one.take.recipe.instrument == "cello"))
        ]


def notes_of(scores: Iterable[TakeScore]) -> list[NoteScore]:
    return [note for one in scores for note in one.notes]


def cents_off(scores: Iterable[TakeScore]) -> np.ndarray:
    """Told minus true cents of every note given a pitch."""
    return np.array([note.cents_off for note in notes_of(scores) if note.cents_off is not None])


def on_time_percent(scores: Iterable[TakeScore]) -> float | None:
    return _percent([note.on_time for note in notes_of(scores)])


def gross_percent(scores: Iterable[TakeScore]) -> float | None:
    """Notes told with confidence whose cents are more than half a semitone off."""
    sure = [n for n in notes_of(scores) if n.cents_off is not None and n.confident]
    return _percent([abs(note.cents_off) > GROSS_CENTS for note in sure])


def tempo_percent(scores: Iterable[TakeScore]) -> float | None:
    scores = list(scores)
    bars = sum(one.tempo_bars for one in scores)
    return 100.0 * sum(one.tempo_right for one in scores) / bars if bars else None


def reliability(run: Run) -> list[tuple[str, int, float | None, float | None]]:
    """(confidence, notes, per cent right within 10 cents and 50 ms, confidence told on average in per cent).

    A row a step, all variants together.
    """
    judged = [n for n in notes_of(run.scores) if n.cents_off is not None]
    rows = []
    for low, high in CONFIDENCE_STEPS:
        some = [note for note in judged if low <= note.confidence < high]
        right = [note.on_time and abs(note.cents_off) <= RIGHT_CENTS for note in some]
        told = 100.0 * float(np.mean([note.confidence for note in some])) if some else None
        rows.append((f"{low:.1f} to {min(high, 1.0):.1f}", len(some), _percent(right), told))
    return rows


def _worst_step_off(run: Run) -> float | None:
    """Points between confidence told and share right in the worst step of `FEW_NOTES` and more."""
    both = [(right, told) for _step, count, right, told in reliability(run) if count >= FEW_NOTES]
    return max((abs(r - t) for r, t in both if r is not None and t is not None), default=None)


def goals(run: Run) -> list[Figure]:
    """Every question this benchmark answers, with its goal."""
    clean, cello = run.of("clean", cello=False), run.of("clean", cello=True)
    room, wrong = run.of("room"), run.of("wrong_notes")
    unplayed = [one for one in run.scores if one.unplayed]
    figures = [
        _pair("cents, long notes at their true times, median / p95", np.array(run.read_at_true_times), 1, 4),
        _pair("cents, whole analysis, clean, without cello", cents_off(clean), 3, 12),
        _pair("cents, whole analysis, clean, cello", cents_off(cello), 3, 25),
        _most("gross among confident notes, clean", gross_percent([*clean, *cello]), 0.5, "%"),
        _most("cents in a room with noise 30 dB under: median", _median(cents_off(room)), 2.5, "c"),
        _most("gross among confident notes, in the room", gross_percent(room), 2.0, "%"),
        _least("onsets within 50 ms, clean", on_time_percent([*clean, *cello]), 93.0),
        _least("the same at half tempo, stopped early, repeat left out, started again",
               on_time_percent(run.of(*MISTAKES_BUT_WRONG_NOTES)), 88.0),
        _least("the same with wrong and missing notes", on_time_percent(wrong), 85.0),
        _most("unplayed notes claimed as played", _claimed_percent(unplayed), 2.0, "%"),
        _least("tempo by bar within 3 %, clean, without cello", tempo_percent(clean), 90.0),
        _least("tempo by bar within 3 %, clean, cello", tempo_percent(cello), 70.0),
        _most("442 against 440 Hz (7.85 c), worst instrument: off by", _tuning_step_off(run), 1.0, "c"),
        _most("AAC at 64 kb/s: shift of the median", _codec_shift(run, "aac"), 0.3, "c"),
        _most("Opus at 64 kb/s: shift of the median", _codec_shift(run, "opus"), 0.3, "c"),
        _most(COST, _cost(run), 0.05, "s"),
        _least("of notes given a confidence of 0.9, right within 10 c and 50 ms", reliability(run)[0][2],
               CALIBRATED_PERCENT),
        _most("confidence told against share right, the worst step: points off", _worst_step_off(run),
              MOST_OFF_POINTS, ""),
    ]  # fmt: skip
    return [*figures, *_without_goal(run, wrong)]


def real_goals(scores: list[RealScore]) -> list[Figure]:
    """The two real takes, the worse of both; nothing where they are not there."""
    if not scores:
        return []
    figures = [
        _least("real takes: bars told right", _percent([one.form_right for one in scores]), 100.0),
        _least("real takes: printed notes placed, the lesser", 100 * min(o.share_played for o in scores), 99),
        _most("real takes: tempo of the whole against printed time over played, the worse",
              100 * max(abs(one.tempo_off) for one in scores), 2.0, "%"),
    ]  # fmt: skip
    middle = f"{100 * max(abs(each.median_off) for each in scores):.1f} %"
    figures.append(Figure("real takes: middle tempo, free time left out, against the same", "", middle, None))
    return [replace(figure, local=True) for figure in figures]


def _without_goal(run: Run, wrong: list[TakeScore]) -> list[Figure]:
    pitched = [note.cents_off is not None for note in notes_of(run.scores) if note.played_right]
    reported = [note.status == "wrong_pitch" for note in notes_of(wrong) if not note.played_right]
    falsely = [note.status == "wrong_pitch" for note in notes_of(run.scores) if note.played_right]
    forms = [one.form_right for one in run.scores]
    return [
        _pair("cents with scoops into the notes: median / p95", cents_off(run.of("scoops"))),
        _more("tempo by bar within 3 %, with a rit. and its a tempo", tempo_percent(_expressive(run))),
        _more("notes played right that were given cents", _percent(pitched)),
        _more("wrong pitches told as wrong", _percent(reported)),
        _less("right pitches told as wrong", _percent(falsely), "%"),
        _more("takes whose bars are told exactly as played", _percent(forms)),
        *_loud_and_soft(run),
        *_vibrato(run),
        *_false_alarms(run.of("clean", "at_442", "opus", "aac")),
    ]


def _expressive(run: Run) -> list[TakeScore]:
    return [one for one in run.of("clean") if one.take.recipe.etude == "expression"]


def _loud_and_soft(run: Run) -> list[Figure]:
    reported = [one.marks for one in _expressive(run)]
    steps = np.array([db for marks in reported for db in marks.steps_off_db])
    accents = np.array([db for marks in reported for db in marks.accents_off_db])
    hairpins = [right for marks in reported for right in marks.hairpins_right]
    return [
        _less("steps between printed levels: median off by", _median(steps), "dB"),
        _less("accents above their neighbours: median off by", _median(accents), "dB"),
        _more("hairpins heard in their direction", _percent(hairpins)),
    ]


def _vibrato(run: Run) -> list[Figure]:
    notes = [note for one in run.of("clean") for note in one.vibrato]
    plain = [note for note in notes if note.plain]
    reported = [note for note in plain if note.told_hz is not None and note.reported_cents is not None]
    rate = np.array([note.told_hz - note.hz for note in reported])
    width = np.array([note.reported_cents - note.cents for note in reported])
    invented = [note.told_hz is not None for note in notes if note.still]
    return [
        _more("vibrato told of notes that have it", _percent([note.told_hz is not None for note in plain])),
        _less("its rate: median off by", _median(rate), "Hz"),
        _less("its half width: median off by", _median(width), "c"),
        _less("vibrato told of still notes", _percent(invented), "%"),
    ]


def _false_alarms(clean: list[TakeScore]) -> list[Figure]:
    """Per take, of takes without any such fault in playing or recording."""
    if not clean:
        return []
    return [
        _less("faults of notes, time or form told per clean take",
              float(np.mean([len(one.faults_told) for one in clean])), ""),
        _less("recording checks raised per clean take",
              float(np.mean([len(one.checks_reported) for one in clean])), ""),
    ]  # fmt: skip


def _claimed_percent(scores: list[TakeScore]) -> float | None:
    if not scores:
        return None
    return 100.0 * sum(one.unplayed_claimed for one in scores) / sum(one.unplayed for one in scores)


def _tuning_step_off(run: Run) -> float | None:
    """The step from 440 to 442 as told, against what it is: each instrument's median, the worst of them."""
    reported = {
        (one.take.recipe.instrument, one.take.recipe.etude): one.tuning_cents for one in run.of("clean")
    }
    steps: dict[str, list[float]] = {}
    for one in run.of("at_442"):
        before = reported.get((one.take.recipe.instrument, one.take.recipe.etude))
        if before is not None and one.tuning_cents is not None:
            off = one.tuning_cents - before - TUNING_STEP_CENTS
            steps.setdefault(one.take.recipe.instrument, []).append(abs(off))
    return max((float(np.median(some)) for some in steps.values()), default=None)


def _codec_shift(run: Run, codec: str) -> float | None:
    """How far the median of all cents moves through the codec, on the same takes."""
    coded = run.of(codec)
    same = {(one.take.recipe.instrument, one.take.recipe.etude) for one in coded}
    clean = [o for o in run.of("clean") if (o.take.recipe.instrument, o.take.recipe.etude) in same]
    if not coded or not clean:
        return None
    return abs(float(np.median(cents_off(coded)) - np.median(cents_off(clean))))


def _cost(run: Run) -> float | None:
    return _median(np.array([one.cpu_s / one.duration_s for one in run.scores]))


def _median(values: np.ndarray) -> float | None:
    return float(np.median(np.abs(values))) if values.size else None


def _percent(flags: list[bool]) -> float | None:
    return 100.0 * float(np.mean(flags)) if flags else None


def _pair(question: str, off: np.ndarray, median: float | None = None, p95: float | None = None) -> Figure:
    goal = "" if median is None else f"{median:g} / {p95:g} c"
    if not off.size:
        return Figure(question, goal, "not measured", None)
    reported = float(np.median(np.abs(off))), float(np.percentile(np.abs(off), 95))
    met = None if median is None or p95 is None else reported[0] <= median and reported[1] <= p95
    return Figure(question, goal, f"{reported[0]:.2f} / {reported[1]:.1f} c", met, reported)


def _most(question: str, value: float | None, limit: float, unit: str) -> Figure:
    return _held(question, value, f"at most {limit:g} {unit}", unit, lambda reported: reported <= limit)


def _least(question: str, value: float | None, limit: float) -> Figure:
    held = _held(question, value, f"at least {limit:g} %", "%", lambda reported: reported >= limit)
    return replace(held, more_is_better=True)


def _less(question: str, value: float | None, unit: str) -> Figure:
    return _held(question, value, "", unit, None)


def _more(question: str, value: float | None) -> Figure:
    return replace(_held(question, value, "", "%", None), more_is_better=True)


def _held(
    question: str, value: float | None, goal: str, unit: str, holds: Callable[[float], bool] | None
) -> Figure:
    if value is None:
        return Figure(question, goal, "not measured", None)
    return Figure(question, goal, _number(value, unit), holds(value) if holds else None, (value,))


def _number(value: float, unit: str) -> str:
    places = {"s": 3, "c": 2, "%": 1, "Hz": 2, "dB": 1, "": 2}[unit]
    return f"{value:.{places}f} {unit}".strip()
