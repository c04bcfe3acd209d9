"""The confidence told is how often such a note is right: what makes a note less sure lowers it."""

from dataclasses import replace

import pytest

from recordings.analysis.follow.note_result import MISSING, PLAYED, UNCERTAIN, WRONG, NoteResult
from recordings.analysis.measure.confidence import calibrated

PLAIN = NoteResult(
    "n", "m1", "1", 1.0, 1, 0, 0, 0.0, 69, 3, PLAYED, onset_s=1.0, offset_s=1.4, onset_blur_s=0.012,
    deviation_cents=1.0, spread_cents=2.0, evidence=0.97,
)  # fmt: skip


def told(*notes: NoteResult, at: int = 4) -> float:
    around = [PLAIN] * at
    return calibrated((*around, *notes, *around))[at].confidence


def test_a_clear_note_among_clear_notes_is_sure():
    assert told(PLAIN) >= 0.95


@pytest.mark.parametrize(
    "worse",
    [
        {"onset_blur_s": 0.05},
        {"spread_cents": 12.0},
        {"evidence": 0.4},
        {"deviation_cents": None, "spread_cents": None, "onset_blur_s": 0.05},
    ],
)
def test_a_slow_attack_an_unsteady_pitch_and_a_poor_fit_are_less_sure(worse):
    assert told(replace(PLAIN, **worse)) < told(PLAIN)


def test_where_the_notes_near_are_lost_a_note_is_less_sure():
    lost = replace(PLAIN, status=MISSING, onset_s=None, offset_s=None, deviation_cents=None, evidence=0.8)
    alone = calibrated((lost, lost, lost, lost, PLAIN, lost, lost, lost, lost))[4].confidence
    assert alone < told(PLAIN) - 0.2


def test_another_pitch_and_a_note_not_heard_are_told_with_less_than_a_plain_note():
    other = replace(PLAIN, status=WRONG, heard_midi=70)
    missing = replace(PLAIN, status=MISSING, onset_s=None, offset_s=None, deviation_cents=None)
    assert 0.5 < told(other) < told(PLAIN)
    assert 0.5 < told(missing) < told(PLAIN)


def test_where_not_even_the_status_is_known_nothing_is_sure():
    assert told(replace(PLAIN, status=UNCERTAIN)) <= 0.5


def test_a_note_alone_has_a_confidence_too():
    assert 0.0 < calibrated((PLAIN,))[0].confidence < 1.0
