from decimal import Decimal

import pytest
from django.core import signing

from repertoire.library import intake
from repertoire.models import Excerpt
from repertoire.notation.read.reading import read_score
from repertoire.notation.read.safety import DEFAULT_LIMITS
from tests.refusals import refusal
from tests.repertoire.notation import makers


def marked(unit: str, per_minute: int, dot: str = "") -> bytes:
    metronome = (
        f"<direction><direction-type><metronome><beat-unit>{unit}</beat-unit>{dot}"
        f"<per-minute>{per_minute}</per-minute></metronome></direction-type></direction>"
    )
    return makers.piece(2, {1: (metronome, "")})


@pytest.mark.parametrize(
    ("data", "unit", "bpm", "beat_unit"),
    [
        (marked("quarter", 96), "", "96", "1.0"),
        (marked("quarter", 66, "<beat-unit-dot/>"), "", "66", "1.5"),
        (marked("whole", 20), "", "80", "1.0"),
        (marked("quarter", 90), "2.0", "45", "2.0"),
    ],
)
def test_tempo_and_unit_come_from_the_score(data, unit, bpm, beat_unit):
    tempo = intake.tempo_in_score(read_score(data).score, unit)
    assert (tempo.bpm, tempo.beat_unit) == (Decimal(bpm), beat_unit)


def test_no_tempo_is_none():
    assert intake.tempo_in_score(read_score(makers.piece(1)).score) is None


def test_without_a_mark_the_metre_gives_the_beat():
    six_eight = makers.piece(1, first=makers.attributes(beats=6, beat_type=8))
    assert intake.beat_unit_in_score(read_score(six_eight).score) == Excerpt.BeatUnit.DOTTED_QUARTER


def test_a_signed_score_comes_back_whole():
    canonical = read_score(makers.piece(3))
    assert intake.from_signed(intake.signed(canonical)) == canonical


@pytest.mark.parametrize(
    "token", ["", "rubbish", signing.dumps("<a/>", salt="another")], ids=["empty", "rubbish", "of another"]
)
def test_a_signature_not_ours_is_none(token):
    assert intake.from_signed(token) is None


def test_too_large_is_refused_unread(score_file):
    upload = score_file()
    upload.size = DEFAULT_LIMITS.unpacked_bytes + 1
    with refusal("larger than 20 MB"):
        intake.upload_bytes(upload)
