"""A player in tune with a system of tuning is not told of single pitches, whatever key the music is in."""

from dataclasses import replace

import pytest

from recordings.analysis.analyse import analyse
from recordings.analysis.document.contract import validate
from recordings.analysis.measure.fifths import FIFTH_CENTS
from repertoire.notation.keynote import keynote
from repertoire.notation.pitches import fifths_of
from repertoire.wording.words import words
from tests.recordings.analysis.made import Player, form, score, settings

pytestmark = pytest.mark.slow

# A minor with its raised sixths and sevenths, and B minor's C, A and G sharps; no sharp is a flat
IN_A_MINOR = (
    (69, 72, 76, 72), (71, 68, 71, 74), (72, 69, 76, 72), (71, 74, 68, 71), (69, 71, 72, 74, 76, 78, 80, 81),
    (80, 76, 71, 68), (69, 76, 74, 72), (71, 80, 81, 80), (81, 77, 74, 72), (71, 74, 68, 80),
    (81, 79, 77, 76, 74, 72, 71, 69), (68, 71, 69, 69),
)  # fmt: skip
# steps the printed bars are spelled with where they differ from the usual names of made scores
SHARPS = {1: ("C", 1), 3: ("D", 1), 6: ("F", 1), 8: ("G", 1), 10: ("A", 1)}


def spelled(bars, *, fifths: int, mode: str = ""):
    printed = score(bars)
    notes = tuple(
        replace(n, written_step=SHARPS[n.midi % 12][0], written_alter=1) if n.midi % 12 in SHARPS else n
        for n in printed.notes
    )
    measures = tuple(replace(m, fifths=fifths, mode=mode) for m in printed.measures)
    return replace(printed, notes=notes, measures=measures)


def transposed(bars, semitones: int):
    return tuple(tuple(midi + semitones for midi in bar) for bar in bars)


def document(printed, cents_per_fifth: float, *, off=lambda note: 0.0, **more) -> dict:
    """The analysis of a take in pure fifths, or wider or narrower ones, each note `off` cents beside them."""
    player = Player(bpm=96)
    player.wrong = {
        n.note_id: n.midi
        + (cents_per_fifth * fifths_of(n.written_step, n.written_alter) + off(n)) / 100
        for n in printed.notes
    }  # fmt: skip
    order = 2 * tuple(range(len(printed.measures)))
    sounded = player.play(printed, order)
    result = analyse(
        player.render(sounded), form(printed, order), settings(keynote=keynote(printed), **more)
    ).to_json()
    validate(result)
    return result


def of_pitch(result: dict) -> list[str]:
    return [words(f["text"]) for f in result["findings"] if f["kind"].startswith("intonation")]


@pytest.mark.parametrize(("semitones", "fifths"), [(0, 0), (2, 2), (4, 4)])
def test_pure_fifths_in_a_minor_key_without_its_mode(semitones, fifths):
    """G sharp, A sharp and D sharp as leading notes: read as flats they lie a comma, 23 cents, high."""
    printed = spelled(transposed(IN_A_MINOR, semitones), fifths=fifths)
    result = document(printed, FIFTH_CENTS, temperament="pythagorean")
    assert of_pitch(result) == []
    assert result["intonation"]["median_abs_cents"] < 2.0
    assert result["intonation"]["leaning"]["cents_per_fifth"] == pytest.approx(FIFTH_CENTS, abs=0.3)


def test_a_just_keynote_is_found_where_the_file_has_no_mode():
    printed = spelled(IN_A_MINOR, fifths=0)
    assert keynote(printed) == 3


def test_a_players_own_wide_fifths_are_no_row_of_faults():
    result = document(spelled(IN_A_MINOR, fifths=0, mode="minor"), 2.6)
    assert of_pitch(result) == []
    assert result["intonation"]["leaning"]["cents_per_fifth"] == pytest.approx(2.6, abs=0.3)


def test_one_pitch_off_is_told_of_a_player_in_pure_fifths_too():
    printed = spelled(IN_A_MINOR, fifths=0, mode="minor")
    result = document(printed, FIFTH_CENTS, off=lambda n: -25.0 if n.midi % 12 == 0 else 0.0)
    assert [text for text in of_pitch(result) if "C notes" in text and "low" in text]
