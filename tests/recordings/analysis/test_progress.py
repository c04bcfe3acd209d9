"""What got better since the last take: only what lies clear of the measuring's own unrest."""

import copy

import pytest

from recordings.analysis.analyse import analyse
from recordings.analysis.document.contract import schema
from recordings.analysis.tell.progress import progress
from repertoire.wording.words import words
from tests.recordings.analysis.made import Player, form, score, settings

pytestmark = pytest.mark.slow

PRINTED = score()
ALL = tuple(range(12))


def document(player: Player) -> dict:
    return analyse(player.render(player.play(PRINTED, ALL)), form(PRINTED), settings()).to_json()


@pytest.fixture(scope="module")
def clean() -> dict:
    return document(Player())


@pytest.fixture(scope="module")
def rough() -> dict:
    return document(Player(cents={71: -24.0}, wrong={"m2n2": 69}, pauses={6: 1.5}))


def test_what_is_better_is_said_with_its_bars(rough, clean):
    better = progress(rough, clean)
    assert better["strength"]
    assert "the slip in bar 3 is gone" in words(better["text"])
    assert "no stop on the way any more" in words(better["text"])
    assert "the B notes in bars" in words(better["text"])
    assert better["note_count"] > 3
    assert better["bar_list"] == sorted(better["bar_list"], key=int)


def test_it_is_a_finding_of_the_contract(rough, clean):
    wanted = schema()["properties"]["findings"]["items"]
    assert set(progress(rough, clean)) == set(wanted["required"])


def test_the_way_back_is_not_called_better(rough, clean):
    assert progress(clean, rough) is None


def test_the_same_playing_again_is_no_progress(clean):
    assert progress(clean, clean) is None
    assert progress(clean, document(Player(cents={m: (-1) ** m * 3.0 for m in range(50, 90)}))) is None


def test_differences_within_the_measurings_unrest_are_not_claimed(rough):
    a_little = copy.deepcopy(rough)
    for note in a_little["notes"]:
        if note["midi"] == 71 and note["deviation_cents"] is not None:
            note["deviation_cents"] += 5.0
    assert progress(rough, a_little) is None


def test_other_music_is_not_compared(rough, clean):
    other = copy.deepcopy(clean)
    for note in other["notes"]:
        note["note_id"] = "other" + note["note_id"]
    assert progress(rough, other) is None


def test_a_slip_told_unsurely_is_not_called_gone(rough, clean):
    unsure = copy.deepcopy(rough)
    for finding in unsure["findings"]:
        finding["certainty"] = "unsure"
    assert "slip" not in words(progress(unsure, clean)["text"])


def test_a_nearer_tempo_paid_for_with_pitch_is_not_praised(clean):
    slow = document(Player(bpm=0.7 * 96))
    assert "the tempo is nearer" in words(progress(slow, clean)["text"])
    out_of_tune = document(Player(cents={m: (-1) ** m * 18.0 for m in range(50, 90)}))
    assert progress(slow, out_of_tune) is None
