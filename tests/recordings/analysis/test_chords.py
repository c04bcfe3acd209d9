"""Chords, double stops and what rings on: followed to the end, and told from other pages."""

from dataclasses import replace

import numpy as np
import pytest

from recordings.analysis.analyse import analyse
from recordings.analysis.recording.decode import SAMPLE_RATE
from repertoire.notation.score import Measure, Note, Score
from repertoire.wording.words import words
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


def arpeggios(seed: int, bars: int = 6) -> Score:
    """Broken chords in sixteenths, over the bass of each half bar."""
    rng = np.random.default_rng(seed)
    up = (0, 2, 4, 7, 9, 7, 4, 2)
    degrees = [[int(rng.integers(0, 7)) + step for _half in range(2) for step in up] for _bar in range(bars)]
    return score(tuple(tuple(48 + 12 * (d // 7) + C_MAJOR[d % 7] for d in bar) for bar in degrees))


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


def test_broken_chords_are_no_page_of_even_quarters():
    """Even notes are even at any pace: nearly four played notes on each printed one, an octave away."""
    document = document_of(arpeggios(8), chord_score(28, most=3), bpm=72.0)
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


@pytest.mark.parametrize("seed", [1, 2])
def test_what_rings_on_is_no_wrong_note(seed):
    printed = arpeggios(seed)
    document = document_of(printed, printed)
    assert document["form"]["wrong_count"] == 0


def test_a_wrong_note_amid_what_rings_on_is_still_told():
    printed = arpeggios(1)
    played = {"m1n4": printed.notes_in(1)[4].midi + 1, "m3n9": printed.notes_in(3)[9].midi - 1}
    sound = ringing(Player(bpm=60, wrong=played).play(printed, printed.order))
    document = analyse(sound, form(printed), settings(60.0)).to_json()
    told = {n["note_id"]: n["heard_midi"] for n in document["notes"] if n["status"] == "wrong_pitch"}
    assert told == played


def test_where_the_music_is_lost_amid_sound_no_end_is_told():
    printed = chord_score(5, bars=10)
    sounded = Player(bpm=76).play(printed, tuple(range(6)))
    sound = ringing(sounded).samples
    time = np.arange(6 * SAMPLE_RATE) / SAMPLE_RATE
    engine = 0.1 * np.sign(np.sin(2 * np.pi * 83.0 * time)) + 0.1 * np.sin(2 * np.pi * 1777.0 * time)
    document = analyse(
        audio(np.concatenate([sound, engine.astype(np.float32)])), form(printed), settings(80.0)
    ).to_json()
    kinds = [f["kind"] for f in document["findings"]]
    assert kinds[0] == "not_followed"
    assert "stopped_early" not in kinds
    assert "could not be followed" in words(document["findings"][0]["text"])


def test_talk_between_two_bars_is_no_hesitation():
    printed = score()
    first = Player().play(printed, tuple(range(6)))
    other = score(
        tuple(tuple(int(m) for m in np.random.default_rng(i).integers(40, 52, 8)) for i in range(3))
    )
    aside = Player(bpm=90).play(other, other.order, lead_s=first[-1].offset_s + 0.5)
    then = Player().play(printed, tuple(range(6, 12)), lead_s=aside[-1].offset_s + 0.5)
    sound = Player().render([*first, *aside, *then])
    document = analyse(sound, form(printed), settings()).to_json()
    kinds = [f["kind"] for f in document["findings"]]
    assert "not_followed" in kinds
    assert "hesitation" not in kinds
    assert document["form"]["text"] == "1-12"


def test_intonation_is_not_praised_where_most_of_it_was_not_measured():
    printed = chord_score(6, bars=12, most=3)
    single = sum(
        1
        for n in printed.notes
        if [m.start_q for m in printed.notes_in(n.measure_index)].count(n.start_q) == 1
    )
    assert 12 <= single < 0.5 * len(printed.notes)
    document = document_of(printed, printed)
    assert document["intonation"]["note_count"] >= 6
    assert "strength_intonation" not in [f["kind"] for f in document["findings"]]
