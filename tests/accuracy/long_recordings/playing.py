"""Stretches of pieces by sampled instruments, with the bars and seconds that are true of them."""

from dataclasses import dataclass

import numpy as np
import scipy.signal

from fixtures.sounds.playing import Hand, perform
from recordings.analysis.recording.decode import SAMPLE_RATE
from repertoire.notation.order import forms
from repertoire.notation.read import reading
from repertoire.notation.score import Form, Score
from tests.accuracy.bench import etudes
from tests.accuracy.bench.instruments import Player
from tests.accuracy.bench.midi import MidiNote
from tests.accuracy.bench.sheet import musicxml
from tests.accuracy.bench.synth import SAMPLE_RATE as RENDERED_RATE
from tests.accuracy.bench.synth import render

LEAST_NOTES, LEAST_S, MOST_S = 14, 7.0, 40.0
VIBRATO_HZ = 5.6


@dataclass(frozen=True, slots=True)
class Music:
    """A piece and who plays it."""

    name: str
    file: bytes  # as it was read
    score: Score
    bpm: float
    beat_unit_q: float
    player: Player
    suffix: str = ".musicxml"


@dataclass(frozen=True, slots=True)
class Stretch:
    """What is played, from `start_s` of its sound: labels of the first and last bar of each run."""

    piece: str
    kind: str
    runs: tuple[tuple[str, str], ...]
    start_s: float
    end_s: float


def etude(kind: str, player: Player, rng: np.random.Generator) -> Music:
    sheet = etudes.etude(kind, player, rng)
    printed = musicxml(sheet)
    score = reading.read_score(printed).score
    return Music(f"{kind} of the {player.name}", printed, score, sheet.bpm, sheet.beat_unit_q, player)


def play(
    music: Music,
    rng: np.random.Generator,
    *,
    kind: str,
    pace: float,
    program: int | None = None,
    shift: int = 0,
) -> tuple[np.ndarray, Stretch]:
    """A stretch of whole bars begun anywhere, (samples,) at the analysis's rate; `shift` in semitones."""
    form = forms.play(music.score, order=range(len(music.score.measures)))
    runs = _runs(form, rng, seconds_per_quarter=60.0 / (music.bpm * pace * music.beat_unit_q), kind=kind)
    wrong = _wrong(form, runs, rng) if kind == "wrong note" else ()
    hand = Hand(
        bpm=music.bpm * pace, runs=runs, cents_sd=10.0, onset_sd_s=0.012, wobble=0.03, wrong=wrong,
        ramp=((0, 1.0), (0.5 * len(form.bars), 1.06), (len(form.bars), 0.95)),
    )  # fmt: skip
    played = perform(form, hand, beat_unit_q=music.beat_unit_q, rng=rng)
    vibrato = music.player.vibrato_cents
    notes = [
        MidiNote(n.onset_s, n.offset_s, n.midi + shift, float(round(n.cents)),
                 int(np.clip(127 * 10 ** (n.level_db / 40), 1, 127)), vibrato, VIBRATO_HZ)
        for n in played.notes
    ]  # fmt: skip
    sound = _at_our_rate(render(notes, program=music.player.program if program is None else program))
    labels = tuple((_label(form, first), _label(form, last)) for first, last in runs)
    truth = Stretch(music.name, kind, labels, played.notes[0].onset_s, played.notes[-1].offset_s)
    return sound, truth


def _label(form: Form, position: int) -> str:
    return form.score.measures[form.bars[position].measure_index].number


def _runs(
    form: Form, rng: np.random.Generator, *, seconds_per_quarter: float, kind: str
) -> tuple[tuple[int, int], ...]:
    """(first, last) positions: two to eight bars, with a new start after a stop where the kind asks."""
    bars = len(form.bars)
    first = int(rng.integers(0, max(1, bars - 3)))
    last = min(first + int(rng.integers(1, 8)), bars - 1)
    while not _enough(form, first, last, seconds_per_quarter):
        if last < bars - 1:
            last += 1
        elif first > 0:
            first -= 1
        else:
            break
    while last > first and _seconds(form, first, last, seconds_per_quarter) > MOST_S:
        last -= 1
    if kind == "new start" and last > first:
        middle = int(rng.integers(first, last))
        return ((first, middle), (max(first, middle - 1), last))
    return ((first, last),)


def _seconds(form: Form, first: int, last: int, seconds_per_quarter: float) -> float:
    return seconds_per_quarter * sum(
        form.score.measures[bar.measure_index].length_q for bar in form.bars[first : last + 1]
    )


def _enough(form: Form, first: int, last: int, seconds_per_quarter: float) -> bool:
    notes = sum(first <= note.position <= last for note in form.notes)
    return notes >= LEAST_NOTES and _seconds(form, first, last, seconds_per_quarter) >= LEAST_S


def _wrong(
    form: Form, runs: tuple[tuple[int, int], ...], rng: np.random.Generator
) -> tuple[tuple[int, int, int], ...]:
    inside = [position for first, last in runs for position in range(first, last + 1)]
    position = inside[len(inside) // 2]
    return ((position, int(rng.integers(0, 2)), int(rng.choice((-2, -1, 1, 2)))),)


def _at_our_rate(samples: np.ndarray) -> np.ndarray:
    common = np.gcd(RENDERED_RATE, SAMPLE_RATE)
    sound = scipy.signal.resample_poly(samples, SAMPLE_RATE // common, RENDERED_RATE // common)
    return (0.4 * sound / max(np.abs(sound).max(), 1e-6)).astype(np.float32)
