"""`manage.py find_music`: a demo take is found in its score and in no other; trouble is said in words."""

import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
TAKE = FIXTURES / "takes" / "violin_clean.opus"


@pytest.mark.slow
def test_the_piece_that_is_played_is_told_with_its_bars_and_times(tmp_path):
    said, listed = StringIO(), tmp_path / "found.json"
    scores = [FIXTURES / "scores" / f"{name}.musicxml" for name in ("flute", "violin")]
    call_command("find_music", TAKE, *scores, json=listed, stdout=said)
    [line] = said.getvalue().splitlines()
    assert "violin, bars 1-" in line
    [found] = json.loads(listed.read_text())
    assert (found["piece"], found["transposed_semitones"]) == ("violin", 0)
    assert found["runs"][0]["first_bar"] == "1"
    assert 0 <= found["start_s"] < 3 < found["end_s"]


def test_where_nothing_of_a_score_is_played_it_says_so():
    said = StringIO()
    call_command("find_music", TAKE, FIXTURES / "scores" / "horn.musicxml", stdout=said)
    assert said.getvalue() == "None of these pieces was heard in this recording.\n"


def test_a_score_or_a_recording_that_cannot_be_read_is_said_in_words(tmp_path):
    words = tmp_path / "study.musicxml"
    words.write_text("just words")
    with pytest.raises(CommandError, match=r"^study.musicxml: This is not a MusicXML file"):
        call_command("find_music", TAKE, words)
    with pytest.raises(CommandError, match="No such file"):
        call_command("find_music", TAKE, tmp_path / "none.mxl")
    with pytest.raises(CommandError, match="sound"):
        call_command("find_music", words, FIXTURES / "scores" / "horn.musicxml")
