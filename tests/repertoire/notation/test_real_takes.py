"""Real music: two solo violin scores in two voices, held against the played notes of their data set.

The files lie outside the project and are never part of it; without them these tests say so and skip.
"""

import csv
from pathlib import Path

import pytest

from repertoire.notation.draw.engraving import engrave
from repertoire.notation.order.forms import describe, order_of_play, play
from repertoire.notation.read.reading import CanonicalScore, load_canonical, read_score
from tests.repertoire.notation.drawing import measured

REAL = Path(__file__).resolve().parents[4] / "shared" / "real"
TICKS_PER_QUARTER = 24

pytestmark = pytest.mark.skipif(not REAL.is_dir(), reason="the shared real takes are not on this machine")


def canonical(name: str) -> CanonicalScore:
    return read_score((REAL / f"{name}.mxl").read_bytes(), filename=f"{name}.mxl")


@pytest.mark.parametrize(
    ("score", "take", "with_repeats", "text"),
    [
        ("bwv1006_mov6", "bwv1006_mov6", True, "0-16, 0-16, 16-36, 16-36"),
        ("bwv1003_mov4", "bwv1003_mov4", False, "1-58"),
        ("bwv1003_mov4_00", "bwv1003_mov4", True, "1-58"),
    ],
)
def test_played_form_is_the_data_sets_list_of_notes(score, take, with_repeats, text):
    form = play(canonical(score).score, with_repeats=with_repeats)
    [notes] = REAL.glob(f"*_{take}.notes.csv")  # named after its player, whom nothing here names
    with notes.open() as lines:
        rows = list(csv.DictReader(lines))
    truth = sorted((int(row["onset"]), int(row["pitch"])) for row in rows)
    assert sorted((round(n.start_q * TICKS_PER_QUARTER), n.note.midi) for n in form.notes) == truth
    assert describe(form) == text


def test_printed_order_of_the_allegro_is_agreed():
    answer = order_of_play(canonical("bwv1003_mov4").musicxml)
    assert answer.agreed
    assert len(answer.order) == 116


def test_stored_score_is_read_again_and_engraved():
    stored = canonical("bwv1003_mov4")
    score = load_canonical(stored.musicxml)
    drawn = measured(engrave(stored.musicxml, width_px=1000))
    assert all(note.note_id in drawn.note_boxes for note in score.notes)
