"""One demo take through the real pipeline, and held to its truth."""

import json
import tempfile
from pathlib import Path

from fixtures.make_sounds import make
from fixtures.sounds import truth as known
from fixtures.sounds.draws import drawn
from fixtures.sounds.takes import TAKES, DemoTake
from recordings.analysis.analyse import AnalysisSettings, analyse
from recordings.analysis.recording.decode import decode
from tests.accuracy.demo.comparing import Outcome, compare


def wanted(names: list[str]) -> list[DemoTake]:
    """The demo takes of these names, or all; raises LookupError for a name that is none."""
    by_name = {take.name: take for take in TAKES}
    for name in names:
        if name not in by_name:
            raise LookupError(f"There is no demo take named {name}.")
    return [by_name[name] for name in names] or list(TAKES)


def analysis_of(path: Path, music: known.Printed) -> dict:
    """The analysis document of the take as the workers would make it, without a marking form."""
    settings = AnalysisSettings(
        marked_bpm=music.marked_bpm,
        beat_unit_q=music.beat_unit_q,
        tempo_low_bpm=None,
        tempo_high_bpm=None,
    )
    return analyse(decode(path), music.form, settings).to_json()


def measure_demo(take: DemoTake) -> Outcome:
    """One take of fixtures/takes, held to its truth."""
    path = next(known.TAKES_FOLDER.glob(f"{take.name}.*"))
    return _compare(take, path, known.TRUTH_FOLDER)


def measure_drawn(number: int) -> Outcome:
    """The take drawn by lot under this number: rendered, encoded, measured, held to its truth."""
    take = drawn(number)
    with tempfile.TemporaryDirectory() as folder:
        return _compare(take, make(take, Path(folder), Path(folder)), Path(folder))


def _compare(take: DemoTake, path: Path, truths: Path) -> Outcome:
    music = known.printed(take)
    reported = json.loads((truths / f"{take.name}.json").read_text(encoding="utf-8"))
    return compare(reported, analysis_of(path, music), music.form)
