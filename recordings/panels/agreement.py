"""How far listeners agree: Krippendorff's alpha for marks on a scale of equal steps, and the ICC.

Own code, since no library fits: `krippendorff` and `pingouin` are under the GPL and this program is not,
`irrCAC` pins an old scipy. `krippendorff` stands beside it in the tests.

Alpha: Krippendorff, "Computing Krippendorff's Alpha-Reliability" (2011), section D, interval metric; it takes
takes that not everyone marked. ICC(2,1) and ICC(2,k): Shrout and Fleiss, Psychological Bulletin 86 (1979):
listeners drawn from many, of one and of the mean of all; it wants every take marked by every listener.
"""

from collections.abc import Sequence
from dataclasses import dataclass

# Krippendorff, Content Analysis (2004), p. 241: rely on .800 and above; from .667 draw tentative conclusions.
RELIABLE, TENTATIVE = 0.800, 0.667
# Fewer takes tell nothing of agreement; common practice, no published source.
FEWEST_TAKES = 3


@dataclass(frozen=True, slots=True)
class Icc:
    """`single` is ICC(2,1), of one listener; `mean` is ICC(2,k), of the mean of all."""

    single: float
    mean: float
    takes: int
    listeners: int


def alpha_interval(units: Sequence[Sequence[float]]) -> float | None:
    """Alpha of the marks of each take, a list a take; None where nothing differs or is marked twice."""
    pairable = [[float(value) for value in unit] for unit in units if len(unit) > 1]
    values = [value for unit in pairable for value in unit]
    expected = _squares(values)
    if not expected:
        return None
    observed = sum(_squares(unit) / (len(unit) - 1) for unit in pairable)
    return 1 - (len(values) - 1) * observed / expected


def _squares(values: Sequence[float]) -> float:
    """Squared differences of all ordered pairs, without forming the pairs."""
    if not values:
        return 0.0
    mean = sum(values) / len(values)
    return 2 * len(values) * sum((value - mean) ** 2 for value in values)


def icc(rows: Sequence[Sequence[float]]) -> Icc | None:
    """Of a table with a row a take and a column a listener; None under two of either, or with no variance."""
    n, k = len(rows), len(rows[0]) if rows else 0
    if n < 2 or k < 2:
        return None
    grand = sum(map(sum, rows)) / (n * k)
    of_takes = [sum(row) / k for row in rows]
    of_listeners = [sum(column) / n for column in zip(*rows, strict=True)]
    between_takes = k * sum((mean - grand) ** 2 for mean in of_takes) / (n - 1)
    between_listeners = n * sum((mean - grand) ** 2 for mean in of_listeners) / (k - 1)
    residual = sum(
        (value - take - listener + grand) ** 2
        for row, take in zip(rows, of_takes, strict=True)
        for value, listener in zip(row, of_listeners, strict=True)
    ) / ((n - 1) * (k - 1))
    above = between_takes - residual
    unrest = (between_listeners - residual) / n
    of_one, of_mean = between_takes + (k - 1) * residual + k * unrest, between_takes + unrest
    if of_one <= 0 or of_mean <= 0:
        return None
    return Icc(above / of_one, above / of_mean, n, k)
