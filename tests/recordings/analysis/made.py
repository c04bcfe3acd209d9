"""Scores and takes made in code, so that every onset and cent is known."""

from dataclasses import dataclass, field, replace

import numpy as np

from recordings.analysis.document.contract import AnalysisSettings
from recordings.analysis.recording.decode import SAMPLE_RATE, Audio, SourceInfo
from repertoire.notation.score import Form, Measure, Note, PlayedBar, PlayedNote, Score

STEPS = {0: ("C", 0), 1: ("C", 1), 2: ("D", 0), 3: ("E", -1), 4: ("E", 0), 5: ("F", 0), 6: ("F", 1),
         7: ("G", 0), 8: ("G", 1), 9: ("A", 0), 10: ("B", -1), 11: ("B", 0)}  # fmt: skip
# twelve bars in D major: quarters, eighths, repeated notes, leaps
TUNE = (
    (62, 66, 69, 74), (73, 74, 71, 69, 67, 66, 64, 62), (64, 64, 67, 71), (69, 67, 66, 64, 62, 64, 66, 67),
    (69, 69, 74, 78), (76, 74, 73, 71, 69, 71, 73, 74), (71, 67, 74, 71), (69, 71, 69, 67, 66, 67, 66, 64),
    (66, 62, 69, 66), (67, 69, 71, 73, 74, 76, 78, 79), (78, 74, 76, 73), (74, 69, 66, 62),
)  # fmt: skip


def score(bars=TUNE, *, order: tuple[int, ...] | None = None, transposition: int = 0) -> Score:
    """A score of 4/4 bars with equal values in each bar; `order` is its printed form."""
    notes, measures = [], []
    for index, midis in enumerate(bars):
        value = 4.0 / len(midis)
        for i, midi in enumerate(midis):
            step, alter = STEPS[(midi - transposition) % 12]
            notes.append(Note(f"m{index}n{i}", index, i * value, value, midi, step, alter, midi // 12 - 1))
        measures.append(Measure(f"m{index}", index, str(index + 1), 4.0, 4, 4, 2, "major"))
    return Score(
        "Made", "Violin", transposition, tuple(measures), tuple(notes), order or tuple(range(len(bars)))
    )


def form(printed: Score, order: tuple[int, ...] | None = None) -> Form:
    """The form of these measure indexes (the score's own order when not given)."""
    bars, notes, counts = [], [], {}
    for position, index in enumerate(order or printed.order):
        counts[index] = counts.get(index, 0) + 1
        bars.append(PlayedBar(position, index, counts[index], 4.0 * position))
        notes += [
            PlayedNote(n, position, counts[index], 4.0 * position + n.start_q, n.duration_q)
            for n in printed.notes_in(index)
        ]
    return Form(printed, tuple(bars), tuple(notes), 4.0 * len(bars))


@dataclass(frozen=True)
class Sounded:
    """One sounding note of a made take."""

    note_id: str
    onset_s: float
    offset_s: float
    midi: float  # with its cents
    gain: float = 1.0


@dataclass
class Player:
    """How a made take is played; everything is known."""

    bpm: float = 96.0
    a4_hz: float = 440.0
    cents: dict[int, float] = field(default_factory=dict)  # by MIDI number
    wrong: dict[str, int] = field(default_factory=dict)  # note id -> MIDI instead
    leave_out: set[str] = field(default_factory=set)
    pace: object = None  # function of the bar's number in the take: factor on the tempo
    pauses: dict[int, float] = field(default_factory=dict)  # seconds before the n-th bar of the take
    vibrato_cents: float = 0.0

    def play(
        self, printed: Score, order: tuple[int, ...], *, lead_s: float = 0.6, cut: int = 0
    ) -> list[Sounded]:
        """Bars of `order`; of the last one `cut` notes are not played."""
        now, sounded = lead_s, []
        for number, index in enumerate(order):
            quarter_s = 60.0 / self.bpm / (self.pace(number) if self.pace else 1.0)
            now += self.pauses.get(number, 0.0)
            notes = printed.notes_in(index)
            if cut and number == len(order) - 1:
                notes = notes[:-cut]
            for note in notes:
                start = now + note.start_q * quarter_s
                if note.note_id not in self.leave_out:
                    midi = self.wrong.get(note.note_id, note.midi)
                    sounded.append(
                        Sounded(note.note_id, start, start + 0.93 * note.duration_q * quarter_s,
                                midi + self.cents.get(note.midi, 0.0) / 100)
                    )  # fmt: skip
            now += 4.0 * quarter_s
        return sounded

    def render(self, sounded: list[Sounded], *, tail_s: float = 0.8, noise_db: float = -70.0) -> Audio:
        return audio(render(sounded, a4_hz=self.a4_hz, vibrato_cents=self.vibrato_cents, tail_s=tail_s,
                            noise_db=noise_db))  # fmt: skip


def render(
    sounded: list[Sounded], *, a4_hz: float = 440.0, vibrato_cents: float = 0.0, tail_s: float = 0.8,
    noise_db: float = -70.0, seed: int = 1,
) -> np.ndarray:  # fmt: skip
    """Harmonic tones with soft edges over quiet noise, float32 mono."""
    length = max((n.offset_s for n in sounded), default=1.0) + tail_s
    samples = np.random.default_rng(seed).standard_normal(int(length * SAMPLE_RATE)) * 10 ** (noise_db / 20)
    for note in sounded:
        first, last = int(note.onset_s * SAMPLE_RATE), int(note.offset_s * SAMPLE_RATE)
        time = np.arange(last - first) / SAMPLE_RATE
        bend = vibrato_cents * np.sin(2 * np.pi * 5.5 * time)
        hz = a4_hz * 2 ** ((note.midi - 69) / 12 + bend / 1200)
        phase = 2 * np.pi * np.cumsum(hz) / SAMPLE_RATE
        wave = sum(np.sin(k * phase) / k**1.3 for k in range(1, 9) if k * hz.max() < 0.45 * SAMPLE_RATE)
        edge = np.clip(np.minimum(time / 0.012, (time[-1] - time) / 0.03), 0, 1)
        samples[first:last] += 0.2 * note.gain * edge * wave
    return samples.astype(np.float32)


def audio(samples: np.ndarray) -> Audio:
    seconds = samples.size / SAMPLE_RATE
    return Audio(
        samples, SAMPLE_RATE, seconds, SourceInfo("made", "made", SAMPLE_RATE, 1, seconds, seconds, 0, 0)
    )


def settings(bpm: float = 96.0, **more) -> AnalysisSettings:
    return replace(AnalysisSettings(bpm, 1.0), **more)


def onset_errors(document: dict, sounded: list[Sounded]) -> np.ndarray:
    """Seconds between each sounded note and the analysis' onset for it; inf where it has none."""
    detected: dict[str, list[float]] = {}
    for note in document["notes"]:
        if note["onset_s"] is not None:
            detected.setdefault(note["note_id"], []).append(note["onset_s"])
    return np.array([
        min((abs(onset - n.onset_s) for onset in detected.get(n.note_id, ())), default=np.inf)
        for n in sounded
    ])  # fmt: skip
