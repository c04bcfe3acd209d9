import json
from pathlib import Path

import pytest

from repertoire.notation.read.reading import read_score
from repertoire.notation.read.score_json import from_json, to_json
from tests.repertoire.notation import makers

SCORES = sorted((Path(__file__).resolve().parents[3] / "fixtures" / "scores").glob("*.musicxml"))
HAIRPIN = '<direction><direction-type><wedge type="{}"/></direction-type></direction>'
MARKED = makers.piece(
    3,
    {
        1: (HAIRPIN.format("crescendo") + makers.repeat_start(), ""),
        2: (HAIRPIN.format("stop"), makers.repeat_end()),
    },
)


def through_json(score):
    return from_json(json.loads(json.dumps(to_json(score))))


@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem)
def test_a_score_comes_back_equal_and_of_the_same_types(path):
    score = read_score(path.read_bytes()).score
    assert repr(through_json(score)) == repr(score)


def test_marks_and_orders_come_back():
    score = read_score(MARKED).score
    assert score.hairpins
    assert score.order != score.order_without_repeats
    assert through_json(score) == score


def test_another_shape_is_refused():
    with pytest.raises(TypeError):
        from_json({**to_json(read_score(MARKED).score), "surprise": 1})
