"""What is played around the piece is not the piece; the order of bars is told as played."""

import pytest

from recordings.analysis.analyse import analyse
from repertoire.wording.words import words
from tests.accuracy.hostile import pieces
from tests.recordings.analysis.made import Player, Sounded, audio, form, render, score, settings

pytestmark = pytest.mark.slow

PRINTED = score()
ALL = tuple(range(12))
SCALE = ((64, 66, 67, 69, 71, 73, 74, 76), (78, 79, 81, 83, 81, 79, 78, 76), (74, 73, 71, 69, 67, 66, 64, 62))
HOME_SCALE = ((62, 64, 66, 67, 69, 71, 73, 74), (74, 73, 71, 69, 67, 66, 64, 62))
FALSE_STARTS = (0, 1, 2, 3, 0, 1, 2, 1, 2, 3, *range(4, 12))


def faults(document: dict) -> list[str]:
    return [words(f["text"]) for f in document["findings"] if not f["strength"]]


def detected(sounded: list[Sounded], printed=PRINTED) -> dict:
    return analyse(audio(render(sounded)), form(printed), settings()).to_json()


def held(start_s: float, *midis: int) -> list[Sounded]:
    return [Sounded("after", start_s, start_s + 2.5, midi) for midi in midis]


@pytest.mark.parametrize("bars", [HOME_SCALE, SCALE])
@pytest.mark.parametrize(("gap_s", "bpm"), [(0.3, 120), (1.0, 80), (3.0, 160), (0.6, 60)])
def test_a_scale_after_the_last_bar_is_no_new_start(bars, gap_s, bpm):
    piece = Player().play(PRINTED, ALL)
    scale = score(bars)
    after = Player(bpm=bpm).play(scale, scale.order, lead_s=piece[-1].offset_s + gap_s)
    document = detected([*piece, *after])
    assert document["form"]["text"] == "1-12"
    assert document["form"]["share_played"] == 1.0
    assert not faults(document)


@pytest.mark.parametrize("midis", [(62,), (62, 69, 78), (62, 66, 69, 74)])
def test_a_note_or_chord_tried_after_the_last_bar_belongs_to_nothing(midis):
    piece = Player().play(PRINTED, ALL)
    document = detected([*piece, *held(piece[-1].offset_s + 1.0, *midis)])
    assert document["form"]["text"] == "1-12"
    assert not faults(document)


def test_open_strings_before_and_after_are_no_bars():
    before = [Sounded("a", 0.3 + i, 1.2 + i, m) for i, m in enumerate((69, 62, 55, 76))]
    piece = Player().play(PRINTED, ALL, lead_s=6.0)
    end_s = piece[-1].offset_s
    after = [Sounded("b", end_s + 1 + i, end_s + 1.9 + i, m) for i, m in enumerate((69, 62, 55, 76))]
    document = detected([*before, *piece, *after])
    assert document["form"]["text"] == "1-12"
    assert not faults(document)


def test_bars_really_played_again_after_the_end_are_a_new_start():
    piece = Player().play(PRINTED, ALL)
    again = Player().play(PRINTED, (8, 9), lead_s=piece[-1].offset_s + 2.0)
    document = detected([*piece, *again])
    assert document["form"]["text"] == "1-12, 9-10"
    assert [r["bar"] for r in document["form"]["restarts"]] == ["9"]


@pytest.mark.parametrize(
    ("order", "reported"),
    [
        ((*range(5), *range(4, 12)), "1-5, 5-12"),
        ((0, 1, 2, 3, 6, *range(7, 12)), "1-4, 7-12"),
        (FALSE_STARTS, "1-4, 1-3, 2-12"),
    ],
)
def test_restarts_and_skips_without_a_pause_are_told_as_played(order, reported):
    document = detected(Player().play(PRINTED, order))
    assert document["form"]["text"] == reported
    assert not document["tempo"]["hesitations"]


def test_twenty_seconds_of_silence_amid_the_music_lose_no_note():
    document = detected(Player(pauses={6: 20.0}).play(PRINTED, ALL))
    assert document["form"]["text"] == "1-12"
    assert document["form"]["share_played"] == 1.0
    assert [h["bar"] for h in document["tempo"]["hesitations"]] == ["7"]


@pytest.mark.parametrize(
    ("printed", "played", "reported"),
    [
        ((*range(8), *range(4), *range(8, 12)), ALL, "1-12"),
        ((0, 1, 2, 3, 0, 1, 2, *range(4, 12)), (0, 1, 2, 3, 0, 1, 2, 3, *range(5, 12)), "1-4, 1-4, 6-12"),
        ((0, 1, 2, 3, 0, 1, 2, *range(4, 12)), (0, 1, 2, *range(4, 12)), "1-3, 5-12"),
    ],
)
def test_a_da_capo_not_taken_and_a_wrong_ending_are_told_as_played(printed, played, reported):
    document = detected(Player().play(PRINTED, played), score(order=printed))
    assert document["form"]["text"] == reported


def test_seven_notes_of_a_horn_study_a_sixth_away_are_not_a_flute_scale():
    study, scale = pieces.piece("horn_clean"), pieces.piece("flute_scale_clean")
    asked = settings(scale.marked_bpm, beat_unit_q=scale.beat_unit_q)
    document = analyse(audio(study.samples), scale.form, asked).to_json()
    assert document["findings"][0]["kind"] == "not_recognised"
    assert document["form"]["bars_played"] == []
