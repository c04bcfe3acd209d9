"""Agreement equals the published worked examples, and a library of its own for alpha."""

import random

import krippendorff
import numpy as np
import pytest

from recordings.panels.agreement import alpha_interval, icc

# Krippendorff, "Computing Krippendorff's Alpha-Reliability" (2011), section D: four observers, twelve units,
# dots where one made no judgement. Interval: 0.849.
OBSERVERS = (
    "1 2 3 3 2 1 4 1 2 . . .",
    "1 2 3 3 2 2 4 1 2 5 . 3",
    ". 3 3 3 2 3 4 2 2 5 1 .",
    "1 2 3 3 2 4 4 1 2 5 1 .",
)
# Shrout and Fleiss, Psychological Bulletin 86 (1979), table 2: four judges on six targets. In table 4
# ICC(2,1) is .29 and ICC(2,4) is .62.
TARGETS = ((9, 2, 5, 8), (6, 1, 3, 2), (8, 4, 6, 8), (7, 1, 2, 6), (10, 5, 6, 9), (6, 2, 4, 7))


def test_alpha_of_krippendorffs_example():
    columns = zip(*(row.split() for row in OBSERVERS), strict=True)
    units = [[float(mark) for mark in column if mark != "."] for column in columns]
    assert alpha_interval(units) == pytest.approx(0.849, abs=0.0005)


def test_icc_of_shrout_and_fleiss():
    found = icc(TARGETS)
    assert found.single == pytest.approx(0.29, abs=0.005)
    assert found.mean == pytest.approx(0.62, abs=0.005)
    assert (found.takes, found.listeners) == (6, 4)


@pytest.mark.parametrize("seed", range(5))
def test_alpha_is_the_librarys(seed):
    dice = random.Random(seed)
    table = [[dice.choice([None, *range(1, 31)]) for _unit in range(14)] for _listener in range(5)]
    units = [[mark for mark in column if mark is not None] for column in zip(*table, strict=True)]
    given = np.array([[np.nan if mark is None else mark for mark in row] for row in table], dtype=float)
    expected = krippendorff.alpha(reliability_data=given, level_of_measurement="interval")
    assert alpha_interval(units) == pytest.approx(expected, abs=1e-9)


def test_alike_is_one_and_a_strict_listener_costs_both():
    alike = [(take, take, take) for take in (12, 15, 21, 27)]
    assert alpha_interval(alike) == pytest.approx(1)
    assert icc(alike).single == pytest.approx(1)
    strict = [(take, take, take - 6) for take, *_others in alike]
    assert alpha_interval(strict) < 0.9
    assert icc(strict).single < 0.9


@pytest.mark.parametrize("units", [[], [[5]], [[5], [7]], [[5, 5], [5, 5]]])
def test_where_nothing_can_be_said_nothing_is(units):
    assert alpha_interval(units) is None


@pytest.mark.parametrize("rows", [[], [(1, 2)], [(1,), (2,)], [(3, 3), (3, 3)]])
def test_no_icc_of_too_little(rows):
    assert icc(rows) is None
