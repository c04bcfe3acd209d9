"""`manage.py analyse` at a score or a recording that cannot be read."""

import pytest
from django.core.management import CommandError, call_command


def test_a_score_that_cannot_be_read_is_said_in_words(tmp_path):
    score = tmp_path / "study.musicxml"
    score.write_text("just words")
    with pytest.raises(CommandError, match=r"^This is not a MusicXML file"):
        call_command("analyse", score, tmp_path / "take.wav")
