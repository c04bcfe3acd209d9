"""A finding of many places has each of them to be heard by itself."""

import pytest

from recordings.analysis.analyse import analyse
from recordings.analysis.document.contract import validate
from tests.recordings.analysis.made import TUNE, Player, form, score, settings

pytestmark = pytest.mark.slow

PRINTED = score(TUNE * 2)
EVERYTHING = tuple(range(len(PRINTED.measures)))


def findings(player: Player) -> dict[str, dict]:
    result = analyse(player.render(player.play(PRINTED, EVERYTHING)), form(PRINTED), settings()).to_json()
    validate(result)
    return {finding["kind"]: finding for finding in result["findings"]}


def test_the_same_note_off_at_two_ends_of_a_take_is_not_the_stretch_between():
    """E5 sounds in bars 6, 10 and 11 of each half, and nowhere else."""
    off = findings(Player(cents={76: -30.0}))["intonation"]
    assert off["end_s"] - off["start_s"] > 30
    assert [place["bar"] for place in off["places"]] == ["6", "10", "18", "22"]
    assert all(place["end_s"] - place["start_s"] < 5 for place in off["places"])
    heard = [note for place in off["places"] for note in place["note_ids"]]
    assert set(heard) == set(off["note_ids"])


def test_a_finding_of_one_place_has_that_place():
    stop = findings(Player(pauses={6: 1.5}))["hesitation"]
    assert stop["places"] == [
        {"bar": "7", "start_s": stop["start_s"], "end_s": stop["end_s"], "note_ids": []}
    ]
