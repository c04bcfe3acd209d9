"""What the pure packages refuse, as a person reads it."""

import re
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from repertoire.notation.score import BadScore
from repertoire.wording.words import words


@contextmanager
def refusal(match: str = "") -> Iterator[pytest.ExceptionInfo[BadScore]]:
    """A `BadScore` whose words have `match` in them."""
    with pytest.raises(BadScore) as caught:
        yield caught
    said = words(caught.value.sentence)
    assert re.search(match, said), said
