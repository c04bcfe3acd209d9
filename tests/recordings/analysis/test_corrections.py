"""What a teacher says against the measuring holds: which bars came, where one begins, where the take lies."""

from dataclasses import replace

import numpy as np
import pytest

from recordings.analysis.analyse import analyse
from recordings.analysis.corrections import NONE, BarLine, Corrections, RightNote
from tests.recordings.analysis.made import TUNE, Player, form, score, settings
from tests.recordings.analysis.measured import ALL, PRINTED, kinds

WITH_REPEAT = (0, 1, 2, 3, 0, 1, 2, 3, *range(4, 12))
REPEATED = score(order=WITH_REPEAT)
# three bars of one and the same note: which of them has lost one cannot be heard, but be seen by who knows
ONE_NOTE = score(((62, 66, 69, 74), (69,) * 4, (69,) * 4, (69,) * 4, (73, 74, 76, 78), (74, 69, 66, 62)))
A_QUARTER_S = 60 / 96


def measured(sounded, asked, corrections=NONE) -> dict:
    take = Player().render(sounded)
    return analyse(take, asked, settings(), corrections=corrections).to_json()


def half_sounding_repeat():
    """The repeat is taken, but half of the notes of the second time do not speak."""
    sounded = Player().play(REPEATED, WITH_REPEAT)
    first = sum(note.measure_index < 4 for note in REPEATED.notes)
    silent = np.random.default_rng(1).random(first) < 0.5
    return [note for i, note in enumerate(sounded) if not (first <= i < 2 * first and silent[i - first])]


def one_note_lost(note_id: str):
    """The note is left out without a gap: all later ones come a quarter sooner."""
    sounded = Player().play(ONE_NOTE, tuple(range(6)))
    k = next(i for i, note in enumerate(sounded) if note.note_id == note_id)
    return sounded[:k] + [
        replace(note, onset_s=note.onset_s - A_QUARTER_S, offset_s=note.offset_s - A_QUARTER_S)
        for note in sounded[k + 1 :]
    ]


def begins(document: dict) -> dict[tuple[str, int], float]:
    return {(bar["measure_id"], bar["pass"]): bar["start_s"] for bar in document["bars"]}


def test_a_misread_repeat_is_mended_by_the_order_of_bars():
    asked, sounded = form(REPEATED), half_sounding_repeat()
    before = measured(sounded, asked)
    assert before["form"]["text"] == "1-4, 1, 4-12"
    assert "left_out" in kinds(before)
    mended = measured(sounded, asked, Corrections(order=WITH_REPEAT))
    assert mended["form"]["text"] == "1-4, 1-12"
    assert mended["form"]["complete"]
    assert not {"left_out", "repeat_left_out", "restart"} & kinds(mended)
    assert mended["corrections"] == [{"what": "order", "where": "", "pass": 0, "applied": True}]


def test_bars_that_sound_alike_are_those_the_teacher_names():
    alike = score((*TUNE[:4], *TUNE[:4], *TUNE[8:]), order=WITH_REPEAT)
    played = (0, 1, 2, 3, 0, 1, 2, 3, 8, 9, 10, 11)
    sounded = Player().play(alike, played)
    before = measured(sounded, form(alike))
    assert "repeat_left_out" in kinds(before)
    mended = measured(sounded, form(alike), Corrections(order=played))
    assert mended["form"]["text"] == "1-4, 1-4, 9-12"
    assert mended["form"]["left_out"] == ["5", "6", "7", "8"]
    assert "repeat_left_out" not in kinds(mended)


def test_a_repeat_nobody_asked_for_is_told_against_what_was_asked():
    sounded = Player().play(REPEATED, WITH_REPEAT)
    told = measured(sounded, form(REPEATED, ALL), Corrections(order=WITH_REPEAT))
    assert told["form"]["text"] == "1-4, 1-12"
    assert "repeat_added" in kinds(told)


def test_an_order_that_was_not_played_is_not_called_applied():
    sounded = Player().play(PRINTED, ALL)
    told = measured(sounded, form(PRINTED), Corrections(order=(4, 5, 6, 7, 0, 1, 2, 3)))
    assert [outcome["applied"] for outcome in told["corrections"]] == [False]


def test_a_bar_line_stands_where_the_teacher_puts_it_and_the_bars_around_it_follow():
    sounded, asked = one_note_lost("m2n1"), form(ONE_NOTE)
    true = {note.note_id: note.onset_s for note in sounded}
    before = begins(measured(sounded, asked))
    assert abs(before["m2", 1] - true["m2n0"]) > 0.5
    line = BarLine("m2", 1, true["m2n0"])
    document = measured(sounded, asked, Corrections(bar_lines=(line,)))
    after = begins(document)
    for bar in range(6):
        assert after[f"m{bar}", 1] == pytest.approx(true[f"m{bar}n0"], abs=0.05)
    assert document["corrections"] == [{"what": "bar_line", "where": "m2", "pass": 1, "applied": True}]


def test_a_bar_line_of_the_second_time_moves_only_that_time():
    sounded = Player().play(REPEATED, WITH_REPEAT)
    before = begins(measured(sounded, form(REPEATED)))
    put = before["m1", 2] + 0.3
    after = begins(measured(sounded, form(REPEATED), Corrections(bar_lines=(BarLine("m1", 2, put),))))
    assert after["m1", 2] == pytest.approx(put, abs=0.03)
    assert after["m1", 1] == before["m1", 1]


def test_a_bar_line_of_a_bar_that_is_not_there_is_told_and_changes_nothing():
    sounded = Player().play(PRINTED, ALL)
    line = BarLine("gone", 1, 4.0)
    told = measured(sounded, form(PRINTED), Corrections(bar_lines=(line,)))
    assert told["corrections"] == [{"what": "bar_line", "where": "gone", "pass": 1, "applied": False}]
    assert begins(told) == begins(measured(sounded, form(PRINTED)))


def test_what_lies_outside_the_take_is_not_heard():
    sounded = Player().play(PRINTED, (0, 1, *ALL))
    start = next(note.onset_s for i, note in enumerate(sounded) if note.note_id == "m0n0" and i)
    before = measured(sounded, form(PRINTED))
    assert "restart" in kinds(before)
    told = measured(sounded, form(PRINTED), Corrections(begins_s=start - 0.02))
    assert told["form"]["text"] == "1-12"
    assert "restart" not in kinds(told)
    assert told["bars"][0]["start_s"] == pytest.approx(start, abs=0.05)


def test_notes_that_were_right_are_neither_wrong_nor_off():
    player = Player(wrong={"m4n2": 76}, leave_out={"m6n1"})
    sounded = player.play(PRINTED, ALL)
    assert {"wrong_note", "missing_note"} <= kinds(measured(sounded, form(PRINTED)))
    right = (RightNote("m4n2", 1), RightNote("m6n1", 1))
    told = measured(sounded, form(PRINTED), Corrections(right_notes=right))
    assert not {"wrong_note", "missing_note"} & kinds(told)
    notes = {note["note_id"]: note for note in told["notes"]}
    assert (notes["m4n2"]["status"], notes["m4n2"]["deviation_cents"]) == ("played", None)
    assert (notes["m6n1"]["status"], notes["m6n1"]["onset_s"]) == ("uncertain", None)
    assert told["form"]["wrong_count"] == told["form"]["missing_count"] == 0


def test_corrections_survive_the_way_to_another_process():
    said = Corrections(1.5, 60.0, (0, 1, 1), (BarLine("m1", 2, 4.25),), (RightNote("m1n0", 1),))
    assert Corrections.from_json(said.to_json()) == said
    assert not NONE
