"""Chords, double stops and what rings on: followed to the end, and told from other pages."""

from dataclasses import replace

import numpy as np
import pytest

from recordings.analysis.analyse import analyse
from recordings.analysis.recording.decode import SAMPLE_RATE
from repertoire.notation.score import Measure, Note, Score
from tests.recordings.analysis.made import STEPS, Player, audio, form, score, settings

pytestmark = pytest.mark.slow

C_MAJOR = (0, 2, 4, 5, 7, 9, 11)
RING_S = 0.5  # to a third
THEME = ((62, 66, 69, 74), (73, 71, 69, 67), (64, 67, 71, 69), (66, 69, 74, 71), (67, 64, 66, 62),
         (69, 73, 76, 74), (71, 74, 69, 66), (67, 69, 64, 62))  # fmt: skip


def chord_score(seed: int, *, bars: int = 8, most: int = 4) -> Score:
    """Quarters and halves of one to `most` notes in C major, drawn by lot."""
    rng = np.random.default_rng(seed)
    notes, measures = [], []
    for index in range(bars):
        measures.append(Measure(f"m{index}", index, str(index + 1), 4.0, 4, 4, 0, "major"))
        starts = (0.0, 1.0, 2.0, 3.0) if rng.random() < 0.7 else (0.0, 2.0, 3.0)
        for start, end in zip(starts, (*starts[1:], 4.0), strict=True):
            root = int(rng.integers(0, 9))
            for third in sorted(rng.choice(5, size=int(rng.integers(1, most + 1)), replace=False)):
                degree = root + 2 * int(third)
                midi = 52 + 12 * (degree // 7) + C_MAJOR[degree % 7]
                step, alter = STEPS[midi % 12]
                note_id = f"m{index}n{start:.0f}t{third}"
                notes.append(
                    Note(note_id, index, start, end - start, midi, step, alter, midi // 12 - 1, chord=True)
                )
    return Score("Made", "Harp", 0, tuple(measures), tuple(notes), tuple(range(bars)))


def ringing(sounded, *, ring_s: float = RING_S):
    """Struck tones that nobody damps."""
    length = int((sounded[-1].offset_s + 3 * ring_s) * SAMPLE_RATE)
    samples = np.random.default_rng(1).standard_normal(length) * 1e-4
    for note in sounded:
        first = int(note.onset_s * SAMPLE_RATE)
        time = np.arange(min(int(4 * ring_s * SAMPLE_RATE), length - first)) / SAMPLE_RATE
        hz = 440.0 * 2 ** ((note.midi - 69) / 12)
        wave = sum(np.sin(2 * np.pi * k * hz * time) / k**1.5 for k in range(1, 7))
        samples[first : first + time.size] += (
            0.15 * wave * np.exp(-time / ring_s) * np.clip(time / 0.004, 0, 1)
        )
    return audio(samples.astype(np.float32))


def document_of(played: Score, printed: Score, *, bpm: float = 76.0) -> dict:
    sound = ringing(Player(bpm=bpm).play(played, played.order))
    return analyse(sound, form(printed), settings(80.0)).to_json()


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_page_of_ringing_chords_is_followed_to_its_end(seed):
    printed = chord_score(seed)
    document = document_of(printed, printed)
    assert document["form"]["text"] == "1-8"
    assert document["form"]["share_played"] >= 0.98
    assert not [
        f for f in document["findings"] if f["kind"] in ("stopped_early", "missing_note", "hesitation")
    ]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_another_page_of_chords_in_the_same_key_is_another_piece(seed):
    document = document_of(chord_score(seed + 10), chord_score(seed))
    assert [f["kind"] for f in document["findings"]] == ["not_recognised"]


def test_a_line_is_not_a_page_of_chords():
    played = score()
    sound = audio(Player().render(Player().play(played, played.order)).samples)
    document = analyse(sound, form(chord_score(4)), settings()).to_json()
    assert [f["kind"] for f in document["findings"]] == ["not_recognised"]


@pytest.mark.parametrize("theme_played", [True, False])
def test_a_theme_and_its_double_are_told_apart(theme_played):
    """The double has all the theme's notes in their order, with others between them."""
    theme = score(tuple((tune[0], tune[2], tune[1], tune[3]) for tune in THEME))
    double = score(tuple(sum(((m, m + 2, m - 1, m + 4) for m in tune), ()) for tune in THEME))
    played, printed = (theme, double) if theme_played else (double, theme)
    sound = audio(Player().render(Player(bpm=70).play(played, played.order)).samples)
    document = analyse(sound, form(printed), replace(settings(), marked_bpm=70.0)).to_json()
    assert [f["kind"] for f in document["findings"]] == ["not_recognised"]
