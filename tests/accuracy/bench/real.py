"""Three real takes of solo violin, where they lie beside the project (`../shared/real`).

True are the notes and the repeats taken; the times beside the takes are an estimate, good to about 0.1 s,
which is plenty for the tempo of the whole. No cents are known. The files are named after their players, whom
nothing here names.
"""

import csv
from dataclasses import dataclass
from pathlib import Path

from recordings.analysis.analyse import AnalysisSettings, analyse
from recordings.analysis.recording.decode import decode
from repertoire.notation.order import forms
from repertoire.notation.read import reading

FOLDER = Path(__file__).resolve().parents[4] / "shared" / "real"


@dataclass(frozen=True, slots=True)
class RealTake:
    name: str
    score: str
    ending: str  # of the sound's name
    bars: str  # truth, in the analysis's words


TICKS_A_QUARTER = 24  # of the notes beside the takes
TAKES = (
    RealTake("Bourree", "bwv1006_mov6.mxl", "bwv1006_mov6.mp3", "0-16, 0-36, 16-36"),
    RealTake("Allegro", "bwv1003_mov4.mxl", "bwv1003_mov4.opus", "1-58"),
    RealTake("Andante", "bwv1003_mov3.mxl", "bwv1003_mov3.opus", "1-10, 11-25, 28"),
)


@dataclass(frozen=True, slots=True)
class RealScore:
    """Shares that the tempo of the whole and the middle tempo lie from printed time over played time."""

    name: str
    bars_told: str
    form_right: bool
    share_played: float
    tempo_off: float
    median_off: float
    spread_cents: float | None
    wrong: int
    notes: int
    checks_reported: tuple[str, ...]


def measure_real() -> list[RealScore]:
    """All takes; an empty list where they are not there."""
    return [_measure(take) for take in TAKES] if FOLDER.is_dir() else []


def _measure(take: RealTake) -> RealScore:
    printed = reading.read_score((FOLDER / take.score).read_bytes(), filename=take.score).score
    mark = printed.tempo_marks[0]
    [sound] = FOLDER.glob(f"*_{take.ending}")
    reported = analyse(
        decode(sound), forms.play(printed), AnalysisSettings(mark.bpm, mark.beat_unit_q)
    ).to_json()  # fmt: skip
    form, true_bpm = reported["form"], _true_bpm(take, mark.beat_unit_q)
    return RealScore(
        take.name, form["text"], form["text"] == take.bars, form["share_played"],
        reported["tempo"]["overall_bpm"] / true_bpm - 1.0,
        reported["tempo"]["metronome_bpm"] / true_bpm - 1.0,
        reported["intonation"]["median_abs_cents"], form["wrong_count"], form["note_count"],
        tuple(c["kind"] for c in reported["recording"]["checks"] if c["verdict"] != "fine"),
    )  # fmt: skip


def _true_bpm(take: RealTake, beat_unit_q: float) -> float:
    """From the first note's beginning to the last one's, by what lies beside the take."""
    stem = take.ending.split(".")[0]
    [notes], [times] = FOLDER.glob(f"*_{stem}.notes.csv"), FOLDER.glob(f"*_{stem}.alignment.csv")
    ticks = [float(row["onset"]) for row in csv.DictReader(notes.open())]
    starts_s = [float(row["start"]) for row in csv.DictReader(times.open())]
    beats = (ticks[-1] - ticks[0]) / TICKS_A_QUARTER / beat_unit_q
    return 60.0 * beats / (starts_s[-1] - starts_s[0])
