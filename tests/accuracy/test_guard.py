"""The guard of the kept figures can fail: a figure made worse by more than its noise is told."""

from dataclasses import replace

import pytest

from tests.accuracy.bench import guard
from tests.accuracy.bench.figures import COST, Figure

ONSETS = Figure("onsets", "at least 93 %", "97.0 %", True, (97.0,), more_is_better=True)
CENTS = Figure("cents", "3 / 12 c", "1.00 / 5.0 c", True, (1.0, 5.0))


@pytest.fixture
def kept(tmp_path):
    path = tmp_path / "kept.json"
    guard.keep_noise([[ONSETS, CENTS], [replace(ONSETS, values=(96.0,)), replace(CENTS, values=(1.2, 6.0))]],
                     path=path)  # fmt: skip
    guard.keep([ONSETS, CENTS, Figure(COST, "", "", True, (0.02,))], mode="quick", seed=1, path=path)
    return path


def fallen(kept, *figures, seed=1):
    return guard.fallen(list(figures), mode="quick", seed=seed, path=kept)


def test_the_same_figures_have_not_fallen(kept):
    assert fallen(kept, ONSETS, CENTS) == []


def test_within_the_noise_nothing_has_fallen_and_better_is_never_worse(kept):
    assert fallen(kept, replace(ONSETS, values=(96.1,)), replace(CENTS, values=(0.1, 5.9))) == []


def test_beyond_the_noise_each_figure_is_told(kept):
    reported = fallen(kept, replace(ONSETS, values=(95.9,)), replace(CENTS, values=(1.21, 6.1)))
    assert [line.split(":")[0] for line in reported] == ["onsets", "cents", "cents"]
    assert "was 97.00" in reported[0]


def test_a_figure_no_longer_measured_has_fallen(kept):
    assert fallen(kept, ONSETS) == ["cents: no longer measured (quick run, seed 1)"]


def test_fresh_material_is_held_to_the_goals_alone(kept):
    assert fallen(kept, replace(ONSETS, values=(1.0,)), seed=77) == []


def test_seconds_of_work_are_not_kept(kept):
    assert COST not in kept.read_text()


def test_what_is_kept_in_the_project_has_its_noise():
    held = guard._read(guard.KEPT)
    assert {"quick 1", "full 1", "full 2"} >= set(held["figures"])
    for figures in held["figures"].values():
        assert set(figures) <= set(held["noise"])
