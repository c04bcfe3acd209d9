"""Habits of pitch: told once where they are clear, not at all where they are not."""

import itertools

import pytest

from recordings.analysis.analyse import analyse
from recordings.analysis.document.contract import validate
from repertoire.wording.words import words
from tests.recordings.analysis.made import Player, form, score, settings

pytestmark = pytest.mark.slow

# steps around, with many leaps of a fifth and more upwards onto different notes
LEAPS = (
    (62, 69, 67, 74), (72, 71, 64, 73), (71, 69, 62, 71), (69, 67, 60, 69), (67, 65, 57, 66),
    (64, 71, 69, 76), (74, 72, 65, 74), (72, 71, 62, 69), (67, 66, 59, 67), (65, 64, 57, 65),
    (64, 62, 69, 67), (66, 64, 62, 62),
)  # fmt: skip
PRINTED = score(LEAPS)


def up_leaps() -> set[str]:
    notes = list(PRINTED.notes)
    return {b.note_id for a, b in itertools.pairwise(notes) if b.midi - a.midi >= 5}


def document(bend, **more) -> dict:
    """The analysis of a take in which each note is bent by `bend(note)` cents."""
    player = Player(bpm=96)
    by_id = {n.note_id: n for n in PRINTED.notes}
    player.wrong = {note_id: n.midi + bend(n) / 100 for note_id, n in by_id.items()}
    sounded = player.play(PRINTED, tuple(range(len(LEAPS))))
    result = analyse(player.render(sounded), form(PRINTED), settings(**more)).to_json()
    validate(result)
    return result


@pytest.fixture(scope="module")
def low_leaps() -> dict:
    low = up_leaps()
    return document(lambda n: -17.0 if n.note_id in low else 2.0, keynote=2, open_strings=(55, 62, 69, 76))


def reported(result: dict, kind: str) -> list[dict]:
    return [f for f in result["findings"] if f["kind"] == kind]


def test_leaps_that_arrive_low_are_one_finding_and_say_how_many(low_leaps):
    [habit] = reported(low_leaps, "intonation_habit")
    everything = len(up_leaps())
    assert (
        words(habit["text"]) == f"The leaps up arrive about 20 cents low: {everything} of {everything} notes."
    )
    assert not reported(low_leaps, "intonation")


def test_the_tendency_stands_in_the_document_with_its_notes(low_leaps):
    found = {(t["group"], t["name"]): t for t in low_leaps["intonation"]["tendencies"]}
    up = found["approach", "leap_up"]
    assert up["note_count"] == len(up_leaps())
    assert up["deviation_cents"] - found["approach", "step_down"]["deviation_cents"] == pytest.approx(
        -19, abs=2
    )
    assert {"register", "string", "degree"} <= {t["group"] for t in low_leaps["intonation"]["tendencies"]}
    assert found["string", "2"]["low_midi"] == 62
    assert found["string", "2"]["high_midi"] == 68


def test_high_notes_that_lie_high_are_one_finding_from_the_first_of_them():
    result = document(lambda n: 19.0 if n.midi >= 71 else 0.0)
    [habit] = reported(result, "intonation_habit")
    assert words(habit["text"]).startswith("The high notes, from B up, lie about 20 cents high: ")
    assert not reported(result, "intonation")


def test_one_flat_pitch_is_no_habit():
    result = document(lambda n: -22.0 if n.midi % 12 == 7 else 0.0)
    assert not reported(result, "intonation_habit")
    assert "G notes" in words(reported(result, "intonation")[0]["text"])


@pytest.mark.parametrize("size", [0.0, 8.0])
def test_under_ten_cents_nothing_is_told(size):
    low = up_leaps()
    result = document(lambda n: -size if n.note_id in low else 0.0)
    assert not [f for f in result["findings"] if not f["strength"]]


def test_a_take_that_sinks_is_told_to_sink():
    result = document(lambda n: 16.0 - 32.0 * n.measure_index / (len(LEAPS) - 1))
    [drift] = reported(result, "tuning_drift")
    assert "sinks" in words(drift["text"])
    assert drift["note_count"] >= 40
    assert result["tuning"]["drift_cents_per_minute"] < -30


def test_bars_that_are_secure_are_named_beside_a_fault():
    result = document(lambda n: -24.0 if n.measure_index < 3 and n.midi % 12 in (2, 9) else 1.0)
    [secure] = reported(result, "strength_bars")
    assert "measured notes lie within 10 cents of pitch" in words(secure["text"])
    assert secure["strength"]
    assert not {"1", "2", "3"} & set(secure["bar_list"])
