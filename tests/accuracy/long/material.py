"""Takes of any length made from a demo take, and the score written out to the same length.

The music of the demo take, without the silence around it, is played over and over. A score of the same
length has the played bars one after another as new bars, without repeat signs.
"""

import copy
import json
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

import av
import numpy as np

from fixtures.sounds import truth as known
from fixtures.sounds.takes import TAKES
from recordings.analysis.recording.decode import SAMPLE_RATE, decode

DEMO_TAKE = "violin_clean"
REPEAT_SIGNS = ("barline", "sound")  # what makes a player jump


@dataclass(frozen=True)
class LongTake:
    """A FLAC file of `minutes`, the canonical score to measure it against and its marked tempo."""

    path: Path
    musicxml: str
    minutes: float
    marked_bpm: float
    beat_unit_q: float


def make(folder: Path, minutes: float, *, long_score: bool) -> LongTake:
    """A take of about `minutes`; its score as long as the take, or the etude once."""
    take = next(t for t in TAKES if t.name == DEMO_TAKE)
    music = known.printed(take)
    sound = _music_alone()
    rounds = max(1, int(minutes * 60 * SAMPLE_RATE / sound.size))
    path = folder / f"{minutes:g}_minutes_{'long' if long_score else 'short'}_score.flac"
    _write(path, sound, rounds)
    xml = music.canonical.musicxml
    if long_score:
        xml = written_out(xml, [bar.measure_index for bar in music.form.bars], rounds)
    return LongTake(path, xml, rounds * sound.size / SAMPLE_RATE / 60, music.marked_bpm, music.beat_unit_q)


def _music_alone() -> np.ndarray:
    """The demo take from its first bar's start to its last bar's end, float32 at the analysis's rate."""
    reported = json.loads((known.TRUTH_FOLDER / f"{DEMO_TAKE}.json").read_text(encoding="utf-8"))
    audio = decode(next(known.TAKES_FOLDER.glob(f"{DEMO_TAKE}.*")))
    first, last = (int(reported["bars"][i][j] * SAMPLE_RATE) for i, j in ((0, 1), (-1, 2)))
    return audio.samples[first:last]


def _write(path: Path, sound: np.ndarray, rounds: int) -> None:
    whole = np.clip(sound * 32767, -32768, 32767).astype(np.int16).reshape(1, -1)
    with av.open(str(path), "w") as container:
        stream = container.add_stream("flac", rate=SAMPLE_RATE, layout="mono")
        for _ in range(rounds):
            frame = av.AudioFrame.from_ndarray(whole, format="s16", layout="mono")
            frame.sample_rate = SAMPLE_RATE
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))


def written_out(musicxml: str, order: list[int], rounds: int) -> str:
    """The bars in the order of play, `rounds` times, as one canonical score with ids of its own."""
    root = ElementTree.fromstring(musicxml)
    part = root.find("part")
    printed = part.findall("measure")
    for measure in printed:
        part.remove(measure)
    attributes = copy.deepcopy(printed[0].find("attributes"))
    for number, index in enumerate(order * rounds, start=1):
        measure = copy.deepcopy(printed[index])
        for sign in [child for child in measure if child.tag in REPEAT_SIGNS]:
            measure.remove(sign)
        for old in measure.findall("attributes") if number > 1 else []:
            measure.remove(old)
        measure.set("number", str(number))
        measure.set("id", f"p1m{number}")
        for place, note in enumerate(measure.findall("note"), start=1):
            note.set("id", f"p1m{number}n{place}")
        if number == 1 and measure.find("attributes") is None:
            measure.insert(0, copy.deepcopy(attributes))
        part.append(measure)
    return ElementTree.tostring(root, encoding="unicode", xml_declaration=False)
