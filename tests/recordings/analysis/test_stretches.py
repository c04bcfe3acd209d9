"""Where known pieces are played in a recording with talk and other music between, on made sound."""

import numpy as np
import pytest

from recordings.analysis.recording.decode import SAMPLE_RATE
from recordings.analysis.stretches.find import find_music
from recordings.analysis.stretches.pieces import Piece
from tests.accuracy.long_recordings import talk
from tests.recordings.analysis import made

OTHER_TUNE = (
    (67, 70, 74, 72), (70, 69, 67, 65, 63, 65, 67, 70), (72, 75, 70, 67), (65, 69, 72, 77, 75, 74, 72, 70),
    (67, 67, 75, 74), (72, 70, 69, 74, 70, 67, 66, 67),
)  # fmt: skip
STRANGER = (
    (60, 65, 69, 72), (71, 64, 67, 60, 65, 71, 74, 69), (64, 72, 67, 76), (65, 60, 71, 62, 67, 64, 69, 60),
)  # fmt: skip


def playing(bars, order, **how):
    printed = made.score(bars)
    player = made.Player(**how)
    return player.render(player.play(printed, order)).samples


@pytest.mark.slow
@pytest.mark.skipif(not talk.can_speak(), reason="espeak-ng is not installed (Debian: apt install espeak-ng)")
def test_stretches_of_two_pieces_are_found_between_talk_and_nothing_else_is():
    rng = np.random.default_rng(5)
    wrong = {"m9n2": 72}
    sounds = [
        playing(made.TUNE, (2, 3, 4, 5)), playing(OTHER_TUNE, (0, 1, 2, 3), bpm=44.0),
        playing(STRANGER, (0, 1, 2, 3)), playing(made.TUNE, (7, 8, 9, 10, 11), bpm=120.0, wrong=wrong),
    ]  # fmt: skip
    parts, begun, length = [], [], 0
    for sound in [*sounds, np.zeros(0, np.float32)]:
        spoken = talk.talk(8.0, rng)
        begun.append((length + spoken.size) / SAMPLE_RATE)
        parts += [spoken, sound]
        length += spoken.size + sound.size
    pieces = [Piece("Tune", made.score()), Piece("Other", made.score(OTHER_TUNE))]

    found = find_music(np.concatenate(parts), pieces, sample_rate=SAMPLE_RATE)

    assert [(s.piece, s.bars) for s in found] == [("Tune", "3-6"), ("Other", "1-4"), ("Tune", "8-12")]
    for stretch, number in zip(found, (0, 1, 3), strict=True):
        assert stretch.start_s == pytest.approx(begun[number] + 0.6, abs=0.3)
        assert stretch.end_s == pytest.approx(
            begun[number] + sounds[number].size / SAMPLE_RATE - 0.8, abs=0.6
        )
        assert stretch.confidence > 0.8
    assert found[1].tempo_ratio == pytest.approx(44 / 90, abs=0.08)


@pytest.mark.slow
def test_a_new_start_after_a_stop_belongs_to_the_stretch():
    sound = playing(made.TUNE, (4, 5, 6, 5, 6, 7), pauses={3: 1.5})
    [found] = find_music(sound, [Piece("Tune", made.score())], sample_rate=SAMPLE_RATE)
    assert found.bars == "5-7, 6-8"


def test_an_octave_lower_it_is_the_same_piece():
    lower = tuple(tuple(midi - 12 for midi in bar) for bar in made.TUNE)
    [found] = find_music(playing(lower, (0, 1, 2, 3)), [Piece("Tune", made.score())], sample_rate=SAMPLE_RATE)
    assert (found.bars, found.transposed_semitones) == ("1-4", -12)


def test_silence_and_scores_without_notes_give_nothing():
    silence = np.zeros(10 * SAMPLE_RATE, dtype=np.float32)
    assert find_music(silence, [Piece("Tune", made.score())], sample_rate=SAMPLE_RATE) == ()
    assert find_music(silence, [], sample_rate=SAMPLE_RATE) == ()
    assert find_music(silence[:0], [Piece("Tune", made.score())], sample_rate=SAMPLE_RATE) == ()
