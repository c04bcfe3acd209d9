"""Evenness of runs: what attacks blur is not held against the player, what is uneven is still told."""

import numpy as np

from recordings.analysis.follow import events
from recordings.analysis.follow.matched import MatchedBar, MatchedForm
from recordings.analysis.measure import rhythm
from recordings.analysis.measure.anchors import Anchor
from recordings.analysis.tell import music_findings
from repertoire.wording.words import words
from tests.recordings.analysis.made import form, score

STEP_S = 0.16
EIGHTHS = score([(62, 64, 66, 67, 69, 71, 73, 74)] * 3)
TRIES = 40


def findings(
    scatter_s: float,
    blur_s: float,
    *,
    confidence: float = 0.95,
    seed: int = 0,
    step_s: float = STEP_S,
    held_s: dict[int, float] | None = None,
) -> list:
    """What is told of 24 eighth notes whose onsets lie this much astray, as the measuring hands them on.

    `held_s`: seconds by which single notes are drawn out.
    """
    played = form(EIGHTHS)
    chain = events.build(played)
    astray = np.random.default_rng(seed).normal(0.0, scatter_s, len(chain))
    held = np.cumsum([0.0, *[(held_s or {}).get(n, 0.0) for n in range(len(chain) - 1)]])
    points = [
        Anchor(event.start_q, step_s * n + held[n] + astray[n], n, n // 8, confidence, blur_s)
        for n, event in enumerate(chain)
    ]
    bars = tuple(
        MatchedBar(b.position, b.measure_index, "m", str(b.position + 1), 1, 0.0, 1.0, False)
        for b in played.bars
    )
    matched = MatchedForm(bars, (), (), (), (), (), True, "")
    return music_findings.rhythm(matched, rhythm.measure(played, chain, matched, points))


def told(*how, **more) -> int:
    """In how many tries of forty something is told."""
    return sum(bool(findings(*how, **more, seed=seed)) for seed in range(TRIES))


def test_bowed_onsets_known_no_better_than_they_lie_astray_are_hardly_ever_called_uneven():
    assert told(0.03, 0.0) > TRIES / 2
    assert told(0.03, 0.03) <= TRIES / 10


def test_an_uneven_run_with_clear_attacks_is_told_with_the_number_of_its_notes():
    assert told(0.06, 0.008) >= 0.95 * TRIES
    (finding,) = findings(0.06, 0.008)
    assert "of 24 notes some are hurried" in words(finding.text)


def test_onsets_nobody_can_rely_on_prove_nothing():
    assert told(0.06, 0.008, confidence=0.6) == 0


def test_a_first_note_leaned_on_is_no_uneven_run():
    assert told(0.008, 0.008, held_s={0: 0.4}) == 0
    assert told(0.008, 0.008, held_s={0: 0.4, 8: 0.12, 16: 0.12}) == 0


def test_slow_notes_are_placed_freely_and_make_no_run():
    assert told(0.12, 0.008, step_s=0.32) >= 0.95 * TRIES
    assert told(0.2, 0.008, step_s=0.7) == 0
