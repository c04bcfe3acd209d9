"""Double stops and chords: their time and whether they are there is measured, their pitch is not judged."""

from dataclasses import replace

import pytest

from recordings.analysis.analyse import analyse
from recordings.analysis.document.contract import CaptionSpec
from repertoire.wording.words import words
from tests.recordings.analysis.made import Player, audio, form, onset_errors, render, score, settings

pytestmark = pytest.mark.slow

CAPTIONS = (CaptionSpec("intonation", "Intonation", 1, 10, 1), CaptionSpec("accuracy", "Accuracy", 1, 10, 1))


def in_sixths(every: int):
    """The made tune with a sixth below every `every`-th note."""
    plain = score()
    notes = []
    for index, note in enumerate(plain.notes):
        if index % every == 0:
            below = replace(note, note_id=f"{note.note_id}b", midi=note.midi - 9, chord=True)
            notes += [below, replace(note, chord=True)]
        else:
            notes.append(note)
    return replace(plain, notes=tuple(notes))


@pytest.fixture(scope="module")
def all_in_sixths():
    printed = in_sixths(1)
    sounded = Player().play(printed, printed.order)
    return analyse(
        audio(render(sounded)), form(printed), settings(), captions=CAPTIONS
    ).to_json(), sounded  # fmt: skip


def test_a_take_in_double_stops_is_timed_and_counted(all_in_sixths):
    document, sounded = all_in_sixths
    assert document["form"]["text"] == "1-12"
    assert document["form"]["share_played"] >= 0.98
    errors = onset_errors(document, sounded)
    assert (errors < 0.05).mean() >= 0.95
    assert document["tempo"]["metronome_bpm"] == pytest.approx(96, rel=0.02)


def test_no_pitch_is_judged_in_a_take_in_double_stops(all_in_sixths):
    document, _ = all_in_sixths
    assert all(note["deviation_cents"] is None for note in document["notes"])
    assert all(note["reason"]["code"] == "note.several_notes" for note in document["notes"])
    assert not [f for f in document["findings"] if f["kind"].startswith("intonation")]


def test_right_double_stops_are_told_no_other_note(all_in_sixths):
    document, _ = all_in_sixths
    assert document["form"]["wrong_count"] == 0


def test_another_note_within_a_double_stop_is_told_with_its_pitch():
    printed = in_sixths(1)
    by_id = {note.note_id: note.midi for note in printed.notes}
    played = {
        "m0n2": by_id["m0n2"] + 1, "m4n3b": by_id["m4n3b"] - 2, "m8n1": by_id["m8n1"] - 1,
        "m11n0b": by_id["m11n0b"] + 2,
    }  # fmt: skip
    sound = audio(render(Player(wrong=played).play(printed, printed.order)))
    document = analyse(sound, form(printed), settings()).to_json()
    told = {n["note_id"]: n["heard_midi"] for n in document["notes"] if n["status"] == "wrong_pitch"}
    assert told == played
    found = {note_id for f in document["findings"] if f["kind"] == "wrong_note" for note_id in f["note_ids"]}
    assert found == set(played)


def test_the_draft_says_that_double_stops_are_left_to_the_ear(all_in_sixths):
    marks = {mark["caption"]: mark for mark in all_in_sixths[0]["draft_marks"]}
    assert marks["intonation"]["low"] is None
    assert "sound together" in words(marks["intonation"]["evidence"])
    assert marks["accuracy"]["low"] is not None


def test_a_few_double_stops_leave_the_single_notes_judged():
    printed = in_sixths(6)
    document = analyse(
        audio(render(Player().play(printed, printed.order))), form(printed), settings(), captions=CAPTIONS
    ).to_json()
    mark = document["draft_marks"][0]
    assert mark["low"] is not None
    assert "sound together" in words(mark["evidence"])
