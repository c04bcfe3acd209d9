"""Robust statistics that more than one stage uses; each with scipy or numpy beneath it.

Functions take one-dimensional arrays of any unit and return that unit; an empty array raises ValueError or
gives NaN as numpy does.
"""

import numpy as np
import scipy.stats


def robust_spread(values: np.ndarray, *, center: float | None = None) -> float:
    """Median absolute deviation from the median, or from `center`, scaled to a normal standard deviation.

    P. J. Rousseeuw and C. Croux, Alternatives to the Median Absolute Deviation, JASA 88 (1993), 1273-1283.
    """
    around = np.median if center is None else lambda _values, axis=None: np.float64(center)
    return float(scipy.stats.median_abs_deviation(values, center=around, scale="normal"))


def weighted_median(values: np.ndarray, weights: np.ndarray) -> float:
    """Middle of the values by weight, between the two middle ones where it falls between them."""
    order = np.argsort(values)
    values, weights = values[order], weights[order]
    share = (np.cumsum(weights) - 0.5 * weights) / weights.sum()
    return float(np.interp(0.5, share, values))


def robust_slope(times: np.ndarray, values: np.ndarray) -> float:
    """Median slope over pairs of points that lie well apart, of at most 300 points.

    H. Theil, A rank-invariant method of linear and polynomial regression analysis, Proc. Kon. Ned. Akad. v.
    Wetensch. A 53 (1950). Pairs nearer than a fifth of the whole are left out (scipy's `theilslopes` takes
    every pair): between neighbours the noise of single notes would outweigh any drift.
    """
    step = max(1, times.size // 300)
    times, values = times[::step], values[::step]
    first, second = np.triu_indices(times.size, k=1)
    gap = times[second] - times[first]
    far = gap > 0.2 * np.ptp(times)
    return float(np.median((values[second] - values[first])[far] / gap[far]))


def rank_correlation_with_order(values: np.ndarray) -> float:
    """Spearman's correlation of the values with their order; 0 for fewer than four or for equal ones."""
    if values.size < 4 or np.ptp(values) == 0:
        return 0.0
    return float(scipy.stats.spearmanr(values, np.arange(values.size)).statistic)
