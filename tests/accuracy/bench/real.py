"""Two real takes of solo violin, where they lie beside the project (`../shared/real`).

True are the notes, the repeats taken and the time from the first bar to the last; no cents are known. The
files are named after their players, whom nothing here names.
"""

from dataclasses import dataclass
from pathlib import Path

from recordings.analysis.analyse import AnalysisSettings, analyse
from recordings.analysis.decode import decode
from repertoire.notation import forms, reading

FOLDER = Path(__file__).resolve().parents[4] / "shared" / "real"


@dataclass(frozen=True, slots=True)
class RealTake:
    name: str
    score: str
    ending: str  # of the sound's name
    bars: str  # truth, in the analysis's words
    quarters: float  # printed in the bars played


TAKES = (
    RealTake("Bourree", "bwv1006_mov6.mxl", "bwv1006_mov6.mp3", "0-16, 0-36, 16-36", 288.0),
    RealTake("Allegro", "bwv1003_mov4.mxl", "bwv1003_mov4.opus", "1-58", 232.0),
)


@dataclass(frozen=True, slots=True)
class RealScore:
    """`tempo_off`: share that the middle tempo lies from printed quarters over the time they took."""

    name: str
    bars_told: str
    form_right: bool
    share_played: float
    tempo_off: float
    spread_cents: float | None
    wrong: int
    notes: int
    checks_told: tuple[str, ...]


def measure_real() -> list[RealScore]:
    """Both takes; an empty list where they are not there."""
    return [_measure(take) for take in TAKES] if FOLDER.is_dir() else []


def _measure(take: RealTake) -> RealScore:
    printed = reading.read_score((FOLDER / take.score).read_bytes(), filename=take.score).score
    mark = printed.tempo_marks[0]
    [sound] = FOLDER.glob(f"*_{take.ending}")
    told = analyse(
        decode(sound), forms.play(printed), AnalysisSettings(mark.bpm, mark.beat_unit_q)
    ).to_json()  # fmt: skip
    bars, form = told["bars"], told["form"]
    whole_bpm = 60.0 * take.quarters / mark.beat_unit_q / (bars[-1]["end_s"] - bars[0]["start_s"])
    return RealScore(
        take.name, form["text"], form["text"] == take.bars, form["share_played"],
        told["tempo"]["median_bpm"] / whole_bpm - 1.0, told["intonation"]["median_abs_cents"],
        form["wrong_count"], form["note_count"],
        tuple(c["kind"] for c in told["recording"]["checks"] if c["verdict"] != "fine"),
    )  # fmt: skip
