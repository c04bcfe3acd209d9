"""Choices by lot from a seed: the same seed makes the same choices on every machine and version of Python.

Of `random.Random` only `random()` is promised to stay as it is, so everything is drawn from that.
"""

import random
from collections.abc import Sequence
from typing import TypeVar

Thing = TypeVar("Thing")


class Chance:
    """A line of choices begun by a seed."""

    def __init__(self, seed: int) -> None:
        self._lot = random.Random(seed)

    def happens(self, share: float) -> bool:
        """True in this share of cases, 0 to 1."""
        return self._lot.random() < share

    def one_of(self, things: Sequence[Thing], weights: Sequence[float] | None = None) -> Thing:
        """One of them, by their weights; raises `ValueError` where there is none."""
        if not things:
            raise ValueError("there is nothing to choose from")
        heavy = [1.0] * len(things) if weights is None else list(weights)
        left = self._lot.random() * sum(heavy)
        for thing, weight in zip(things, heavy, strict=True):
            left -= weight
            if left < 0:
                return thing
        return things[-1]
