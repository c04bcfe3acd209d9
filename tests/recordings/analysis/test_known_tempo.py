"""A pulse at a known tempo, and the arithmetic of metronome marks in compound metres.

bpm is 60 over the seconds of the beat unit named: at a dotted quarter = 58, an eighth lasts 60 / 58 / 3 s
(common definition of a metronome mark; the arithmetic is its own source).
"""

import numpy as np
import pytest

from recordings.analysis.analyse import AnalysisSettings, analyse
from recordings.analysis.recording.decode import SAMPLE_RATE
from repertoire.notation.order import forms
from repertoire.notation.read import reading
from tests.accuracy.bench.sheet import Bar, Sheet, Written, musicxml
from tests.recordings.analysis.made import Player, audio, score
from tests.recordings.analysis.measured import measure

pytestmark = pytest.mark.slow

PULSES = 48


def pulses(step_s: float, count: int) -> np.ndarray:
    """The same short tone every `step_s` seconds over faint noise."""
    rng = np.random.default_rng(2)
    samples = rng.standard_normal(int((1.0 + step_s * count) * SAMPLE_RATE)) * 10 ** (-70 / 20)
    at_s = np.arange(int(0.9 * step_s * SAMPLE_RATE)) / SAMPLE_RATE
    edge = np.clip(np.minimum(at_s / 0.008, (at_s[-1] - at_s) / 0.03), 0, 1)
    tone = 0.2 * edge * sum(np.sin(2 * np.pi * 440 * k * at_s) / k for k in (1, 2, 3, 4))
    for number in range(count):
        first = round((0.6 + number * step_s) * SAMPLE_RATE)
        samples[first : first + tone.size] += tone
    return samples.astype(np.float32)


def reported(sheet: Sheet, step_s: float) -> dict:
    form = forms.play(reading.read_score(musicxml(sheet)).score)
    sound = audio(pulses(step_s, len(form.notes)))
    return analyse(sound, form, AnalysisSettings(sheet.bpm, sheet.beat_unit_q)).to_json()


def in_quarters(bpm: float) -> Sheet:
    return Sheet("Pulse", 4, 4, bpm, tuple(Bar((Written(69, 12),) * 4) for _bar in range(PULSES // 4)))


def in_dotted_quarters(bpm: float) -> Sheet:
    return Sheet("Pulse", 6, 8, bpm, tuple(Bar((Written(69, 6),) * 6) for _bar in range(PULSES // 6)))


@pytest.mark.parametrize("bpm", [60.0, 97.0, 120.0, 152.0])
def test_a_pulse_train_has_its_tempo(bpm):
    tempo = reported(in_quarters(bpm), 60.0 / bpm)["tempo"]
    assert tempo["metronome_bpm"] == pytest.approx(bpm, rel=0.005)
    assert tempo["ratio_to_marked"] == pytest.approx(1.0, abs=0.005)


@pytest.mark.parametrize(("marked", "played"), [(58.0, 58.0), (72.0, 72.0), (60.0, 48.0)])
def test_six_eight_counts_in_dotted_quarters(marked, played):
    tempo = reported(in_dotted_quarters(marked), 60.0 / played / 3)["tempo"]
    assert tempo["beat_unit_q"] == 1.5
    assert tempo["metronome_bpm"] == pytest.approx(played, rel=0.005)
    assert tempo["ratio_to_marked"] == pytest.approx(played / marked, rel=0.005)


def test_the_quarter_mark_of_the_same_speed_is_half_as_much_again():
    sheet = in_dotted_quarters(60.0)
    mark = reading.read_score(musicxml(sheet)).score.tempo_marks[0]
    assert (mark.bpm, mark.beat_unit_q) == (60.0, 1.5)
    assert mark.bpm * mark.beat_unit_q == 90.0  # quarters a minute


TWICE = (0, 1, 2, 3, *range(12))  # bars 1 to 4 are repeated
ONCE = tuple(range(12))  # the repeat is left out


def over_the_whole(player: Player) -> float:
    document, _ = measure(player, ONCE, asked=TWICE, printed=score(order=TWICE))
    return document["tempo"]["overall_bpm"]


def test_the_whole_holds_the_broadening_before_a_repeat_that_is_left_out():
    """11 of the 12 bars end where another begins: one of them at 0.6 of the tempo."""
    broadened = over_the_whole(Player(pace=lambda number: 0.6 if number == 3 else 1.0))
    assert broadened == pytest.approx(96.0 * 11 / (10 + 1 / 0.6), rel=0.01)


def test_a_stop_before_the_next_section_is_no_part_of_it():
    assert over_the_whole(Player(pauses={4: 20.0})) == pytest.approx(96.0, rel=0.01)
