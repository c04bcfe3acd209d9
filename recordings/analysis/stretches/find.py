"""Where in a long recording bars of known pieces are played: a lesson, a clinic, an hour of practice.

`find_music` is the one function others build on. A stretch is what is played of one piece without talk or
other music between; a new start after a stop belongs to it. Each is then followed note by note, as a take is,
and keeps only what the follower hears as well. Times are seconds from the recording's beginning.

What the limits were set on, and how it does on music and instruments they never saw, stands with
`tests/accuracy/long_recordings`.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from recordings.analysis.follow import alignment
from recordings.analysis.follow.events import build
from recordings.analysis.sound import features, tuning
from recordings.analysis.stretches.hearing import Heard, music_goes_on
from recordings.analysis.stretches.pieces import Chain, Piece, chain_of
from recordings.analysis.stretches.runs import OCTAVE, Run, find_runs, listen
from repertoire.notation.order import forms

TOGETHER_S = 4.0  # between two runs of one stretch: a stop, a breath, a page turned
STEPPED_OVER = 4  # notes lost between two runs that are one
# The best of 46 runs in other music gained 18 nats, the least of 36 true stretches 6.9; talk at most 1.2.
SURE_GAIN, SURE_GAIN_OTHER_KEY, LEAST_GAIN = 25.0, 40.0, 5.0
LEAST_FOLLOWED = 0.5  # of the notes
RIGHT_FIT = -2.5  # nats a frame: a note that fits worse was not heard
AROUND_S = 1.0  # of sound given to the follower on both sides
HALF_SURE_GAIN = 8.0


@dataclass(frozen=True, slots=True)
class PlayedRun:
    """Printed bars played one after the other: labels and indexes of the first and the last."""

    first_bar: str
    last_bar: str
    first_index: int
    last_index: int
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Stretch:
    """`piece` is the name it was given; `tempo_ratio` of the printed tempo; `confidence` 0 to 1."""

    piece: str
    runs: tuple[PlayedRun, ...]
    start_s: float
    end_s: float
    tempo_ratio: float
    transposed_semitones: int
    confidence: float

    @property
    def bars(self) -> str:
        """The bars played in their order: "5-8, 5-12"."""
        return ", ".join(
            run.first_bar if run.first_index == run.last_index else f"{run.first_bar}-{run.last_bar}"
            for run in self.runs
        )


def find_music(samples: np.ndarray, pieces: Sequence[Piece], *, sample_rate: int) -> tuple[Stretch, ...]:
    """Every stretch in which bars of `pieces` are played, in the order of time.

    `samples`: (samples,) mono. Pieces without notes are never found. Raises ValueError for a sample rate too
    low to follow music by.
    """
    chains = [chain for chain in map(chain_of, pieces) if chain.events]
    if not chains or not samples.size:
        return ()
    heard = listen(samples, chains, sample_rate=sample_rate)
    found = []
    for group in _together(find_runs(heard, chains), chains):
        if not _stands_out(group, heard):
            continue
        stretch = _followed(group, chains[group[0].chain], samples, sample_rate)
        if stretch is not None:
            found.append(stretch)
    return tuple(found)


def _together(runs: list[Run], chains: Sequence[Chain]) -> list[list[Run]]:
    """Runs of one piece at one place that follow each other closely; a run broken by a slip is mended."""
    groups: list[list[Run]] = []
    for run in runs:
        before = groups[-1][-1] if groups else None
        same = before and (before.chain, before.shift) == (run.chain, run.shift)
        if before is None or not same or run.start_s - before.end_s > TOGETHER_S:
            groups.append([run])
        elif _goes_on(before, run, chains[run.chain]):
            groups[-1][-1] = replace(before, last=run.last, end_s=run.end_s, gain=before.gain + run.gain)
        else:
            groups[-1].append(run)
    return groups


def _goes_on(before: Run, run: Run, chain: Chain) -> bool:
    """Whether a run takes up the one before after at most a few lost notes, in about their time."""
    lost = run.first - before.last - 1
    if not 0 <= lost <= STEPPED_OVER:
        return False
    expected_s = float(chain.lengths_s[before.last + 1 : run.first].sum()) / before.tempo_ratio
    return abs(run.start_s - before.end_s - expected_s) < 0.5 * expected_s + 0.5


def _stands_out(group: list[Run], heard: Heard) -> bool:
    """Whether one of the runs is more than chance, and more than a scale that other music shares.

    Other pieces have scales and figures in common with this one, but then the music goes on beyond the run.
    """
    gain = max(run.gain for run in group)
    other_key = group[0].shift % OCTAVE != 0
    if gain >= (SURE_GAIN_OTHER_KEY if other_key else SURE_GAIN):
        return True
    if other_key or gain < LEAST_GAIN:
        return False
    return not (
        music_goes_on(heard, group[0].start_s, forwards=False)
        or music_goes_on(heard, group[-1].end_s, forwards=True)
    )


def _followed(group: list[Run], chain: Chain, samples: np.ndarray, sample_rate: int) -> Stretch | None:
    """The stretch as the follower of takes hears it; None where it hears too little of it."""
    spans = [_bars_of(run, chain) for run in group]
    order = [index for first, last in spans for index in range(first, last + 1)]
    form = forms.play(chain.piece.score, order=order)
    events = build(form)
    begin = max(int((group[0].start_s - AROUND_S) * sample_rate), 0)
    sound = samples[begin : int((group[-1].end_s + AROUND_S) * sample_rate)]
    path = alignment.align_at(
        features.extract(sound, sample_rate=sample_rate, lowest_midi=chain.pitches[0]),
        form, events, range(len(events)),
        chain.seconds_per_quarter / group[0].tempo_ratio,
        tuning.rough_cents(sound, sample_rate=sample_rate),
        group[0].shift,
    )  # fmt: skip
    right = {s.event for s in path.segments if not s.wrong_pitch and s.fit > RIGHT_FIT}
    share = len(right) / len(events)
    if share < LEAST_FOLLOWED:
        return None
    gain = max(run.gain for run in group)
    measures = chain.piece.score.measures
    return Stretch(
        chain.piece.name,
        tuple(
            PlayedRun(measures[first].number, measures[last].number, first, last, run.start_s, run.end_s)
            for run, (first, last) in zip(group, spans, strict=True)
        ),
        group[0].start_s,
        group[-1].end_s,
        group[0].tempo_ratio,
        group[0].shift,
        float(share * (1.0 - 0.5 ** (gain / HALF_SURE_GAIN))),
    )


def _bars_of(run: Run, chain: Chain) -> tuple[int, int]:
    """Indexes of the first and last bar of which at least half the notes were in the run."""
    inside: dict[int, int] = {}
    whole: dict[int, int] = {}
    for event in chain.events:
        whole[event.position] = whole.get(event.position, 0) + 1
        if run.first <= event.index <= run.last:
            inside[event.position] = inside.get(event.position, 0) + 1
    enough = [bar for bar, count in inside.items() if 2 * count >= whole[bar]] or [*inside]
    return min(enough), max(enough)
