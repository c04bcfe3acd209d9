"""Some of the scores nobody should send; all of them: `python -m tests.repertoire.notation.hostile`."""

import pytest

from .hostile import run, scores

pytestmark = pytest.mark.slow

QUICK = (
    "noise",
    "entity bomb",
    "outside entity, file",
    "bars zipped to nothing",
    "name outside",
    "2001 bars",
    "very deep",
    "bent 1",
    "only percussion",
    "pickup only",
    "20 repeats inside each other",
    "midi bent 0",
    "midi a million bars long",
    "abc open brackets",
    "kern noise",
)


@pytest.fixture(scope="module")
def made() -> dict[str, bytes]:
    """All names, with the bytes of those that are run here."""
    return {name: data if name in QUICK else b"" for name, data in scores()}


@pytest.mark.parametrize("name", QUICK)
def test_a_hostile_score_ends_in_words_or_whole(name, made):
    verdict = run(name, made[name])
    assert not verdict.troubles, verdict


def test_there_are_a_hundred_with_names_of_their_own(made):
    assert len(made) == len(list(scores())) >= 100
