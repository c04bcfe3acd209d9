"""Our scoring against mir_eval's on the same notes, and the windows mir_eval's own source names.

Windows (mir_eval 0.8, `onset.py`, `transcription.py`, `melody.py`): onsets 50 ms; notes 50 ms and 50 cents;
raw pitch accuracy 50 cents over the voiced reference.
"""

import inspect

import numpy as np
import pytest

from tests.accuracy.bench.scoring import GROSS_CENTS, ONSET_WINDOW_S, NoteScore

mir_eval = pytest.importorskip("mir_eval", reason="mir_eval is not installed (tests/requirements.txt)")

SPACING_S, LENGTH_S = 0.5, 0.3


@pytest.fixture(scope="module", params=[1, 2, 3])
def takes(request):
    """Onset and cent errors of 300 notes, some far beyond the windows, a tenth of the notes not told."""
    rng = np.random.default_rng(request.param)
    # on half milliseconds, since mir_eval rounds times to a tenth of one before it compares
    late_s = (np.round(rng.normal(0.0, 40.0, 300)) + 0.5) / 1000
    cents = rng.normal(0.0, 40.0, 300)
    return late_s, cents, rng.random(300) > 0.1


def scored(late_s, cents, reported) -> list[NoteScore]:
    return [
        NoteScore(True, LENGTH_S, late if known else None, off if known else None, 0.9, "played")
        for late, off, known in zip(late_s, cents, reported, strict=True)
    ]


def intervals(onsets_s: np.ndarray) -> np.ndarray:
    return np.stack([onsets_s, onsets_s + LENGTH_S], axis=1)


def test_onsets_found_are_mir_evals_recall(takes):
    late_s, cents, reported = takes
    true_s = 1.0 + SPACING_S * np.arange(late_s.size)
    _f, precision, recall = mir_eval.onset.f_measure(true_s, (true_s + late_s)[reported])
    ours = [note.on_time for note in scored(late_s, cents, reported)]
    assert np.mean(ours) == pytest.approx(recall)
    assert np.sum(ours) / reported.sum() == pytest.approx(precision)


def test_notes_found_with_their_pitch_are_mir_evals_transcription(takes):
    late_s, cents, reported = takes
    true_s = 1.0 + SPACING_S * np.arange(late_s.size)
    hz = np.full(late_s.size, 440.0)
    precision, recall, _f, _overlap = mir_eval.transcription.precision_recall_f1_overlap(
        intervals(true_s), hz, intervals(true_s + late_s)[reported], (hz * 2 ** (cents / 1200))[reported],
        offset_ratio=None,
    )  # fmt: skip
    ours = [n.on_time and abs(n.cents_off) <= GROSS_CENTS for n in scored(late_s, cents, reported)]
    assert np.mean(ours) == pytest.approx(recall)
    assert np.sum(ours) / reported.sum() == pytest.approx(precision)


def test_gross_errors_are_what_raw_pitch_accuracy_leaves(takes):
    _late_s, cents, _reported = takes
    voiced = np.ones(cents.size, dtype=bool)
    reported_cents = 6900.0 + cents
    accuracy = mir_eval.melody.raw_pitch_accuracy(
        voiced, np.full(cents.size, 6900.0), voiced, reported_cents, cent_tolerance=GROSS_CENTS
    )
    assert 1.0 - np.mean(np.abs(cents) > GROSS_CENTS) == pytest.approx(accuracy)


def test_the_windows_are_mir_evals_defaults():
    def default(function, name):
        return inspect.signature(function).parameters[name].default

    assert default(mir_eval.onset.f_measure, "window") == ONSET_WINDOW_S
    assert default(mir_eval.transcription.match_notes, "onset_tolerance") == ONSET_WINDOW_S
    assert default(mir_eval.transcription.match_notes, "pitch_tolerance") == GROSS_CENTS
    assert default(mir_eval.melody.raw_pitch_accuracy, "cent_tolerance") == GROSS_CENTS
