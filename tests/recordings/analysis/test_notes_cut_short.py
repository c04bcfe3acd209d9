"""Long notes that are soon over are played notes, and what a note leaves behind is no wrong one."""

from dataclasses import replace

import pytest

from recordings.analysis.analyse import analyse
from tests.recordings.analysis.made import TUNE, Player, Sounded, form, score, settings

pytestmark = pytest.mark.slow

# whole notes in bar 7 and at the end
PRINTED = score((*TUNE[:6], (69,), *TUNE[6:11], (67,)))
LONG = ("m6n0", "m12n0")


def document(change, *, tail_s: float = 3.0) -> dict:
    """The analysis of a take whose notes `change` may cut short, replace (a list of sounds) or leave out."""
    player = Player()
    played = player.play(PRINTED, tuple(range(13)))
    sounded = [sound for note in played for sound in change(note)]
    return analyse(player.render(sounded, tail_s=tail_s), form(PRINTED), settings()).to_json()


def statuses(result: dict, ids) -> dict[str, str]:
    return {n["note_id"]: n["status"] for n in result["notes"] if n["note_id"] in ids}


@pytest.mark.parametrize("seconds", [0.3, 0.45, 0.6])
def test_a_plucked_whole_note_is_played_at_the_end_and_amid_the_piece(seconds):
    def plucked(note: Sounded) -> list[Sounded]:
        end_s = min(note.offset_s, note.onset_s + seconds)
        return [replace(note, offset_s=end_s) if note.note_id in LONG else note]

    result = document(plucked)
    assert statuses(result, LONG) == dict.fromkeys(LONG, "played")
    assert {f["kind"] for f in result["findings"] if not f["strength"]} == set()


def test_a_whole_note_left_out_is_still_missing():
    result = document(lambda note: [] if note.note_id == "m6n0" else [note])
    assert statuses(result, ["m6n0"]) == {"m6n0": "missing"}


@pytest.mark.parametrize("missed", ["m3n2", "m7n3", "m1n4", "m5n6"])
def test_a_note_left_out_is_missing_though_the_note_before_dies_away_an_octave_lower(missed):
    """As a release is often heard: for an eighth of a second, softly, an octave under the note before."""
    midis = {n.note_id: n.midi for n in PRINTED.notes}
    before = [n.note_id for n in PRINTED.notes][[n.note_id for n in PRINTED.notes].index(missed) - 1]

    def left_out(note: Sounded) -> list[Sounded]:
        if note.note_id != missed:
            return [note]
        return [Sounded(missed, note.onset_s, note.onset_s + 0.12, midis[before] - 12, gain=0.2)]

    result = document(left_out)
    assert statuses(result, [missed])[missed] in ("missing", "uncertain")
    assert not [f for f in result["findings"] if f["kind"] == "wrong_note"]
