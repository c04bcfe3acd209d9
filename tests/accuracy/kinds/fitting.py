"""The weights of `measure.confidence`, fitted anew: `python -m tests.accuracy.kinds --fit` prints them.

Only the seeds and instruments named here are fitted on; every table is of others. Logistic regression by
Newton's steps with a small ridge; weights a status has no use for are left at 0.
"""

import numpy as np

from recordings.analysis import analyse
from recordings.analysis.document.contract import AnalysisSettings
from recordings.analysis.follow.note_result import UNCERTAIN
from recordings.analysis.measure.confidence import (
    NOT_PLAYED,
    OTHER_PITCH,
    PITCHED,
    TIMED,
    Odds,
    odds_of,
    what_is_known,
)
from recordings.analysis.recording import decode
from tests.accuracy.bench.plan import recipes
from tests.accuracy.bench.takes import Studio, Take

from . import plan
from .scoring import told_of

FITTED_SEEDS = (21,)
FITTED_ON = ("violin", "cello", "flute", "clarinet", "trumpet")
FITTED_VARIANTS = (
    "clean",
    "room",
    "half_tempo",
    "early_stop",
    "no_repeat",
    "restart",
    "wrong_notes",
    "scoops",
)
NAMES = {PITCHED: "PITCHED", TIMED: "TIMED", OTHER_PITCH: "OTHER_PITCH", NOT_PLAYED: "NOT_PLAYED"}
RIDGE, STEPS = 1.0, 60


def fitted(studio: Studio) -> dict[str, Odds]:
    """The weights by the name they have in `measure.confidence`."""
    known: dict[Odds, list[Odds]] = {odds: [] for odds in NAMES}
    right: dict[Odds, list[bool]] = {odds: [] for odds in NAMES}
    for take, settings in _takes(studio):
        analysis = analyse.analyse(decode.decode(take.file), take.form, settings)
        notes = analysis.measured.notes
        claimed = [
            pair for pair in zip(notes, what_is_known(notes), strict=True) if pair[0].status != UNCERTAIN
        ]
        for (note, row), told in zip(claimed, told_of(take, analysis.to_json()), strict=True):
            known[odds_of(note)].append(row)
            right[odds_of(note)].append(told.right)
    return {NAMES[odds]: _fit(np.array(known[odds]), np.array(right[odds]), odds) for odds in NAMES}


def _takes(studio: Studio):
    for seed in FITTED_SEEDS:
        for kind in plan.FITTED_KINDS:
            for made in plan.takes(kind, seed, studio):
                yield made.take, made.settings
        for recipe in recipes(quick=False, seed=seed):
            if recipe.instrument in FITTED_ON and recipe.variant in FITTED_VARIANTS:
                take: Take = studio.take(recipe)
                yield take, AnalysisSettings(marked_bpm=take.sheet.bpm, beat_unit_q=take.sheet.beat_unit_q)


def _fit(known: np.ndarray, right: np.ndarray, before: Odds) -> Odds:
    used = [place for place, weight in enumerate(before) if weight]
    rows, weights = known[:, used], np.zeros(len(used))
    for _step in range(STEPS):
        share = 1.0 / (1.0 + np.exp(-rows @ weights))
        curvature = (rows * (share * (1 - share))[:, None]).T @ rows + RIDGE * np.eye(len(used))
        weights = weights + np.linalg.solve(curvature, rows.T @ (right - share) - RIDGE * weights)
    every = np.zeros(len(before))
    every[used] = weights
    return Odds(*(round(float(weight), 2) for weight in every))
