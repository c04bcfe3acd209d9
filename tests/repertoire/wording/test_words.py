import json
from dataclasses import asdict

import pytest

from repertoire.notation import messages
from repertoire.notation.sentence import PitchName, Sentence, SentenceCode, from_json
from repertoire.wording.words import fill, words

RANGE = messages.SCALE_RANGE(
    key=messages.MODES["major"](tonic=PitchName("F", 1)),
    octaves=messages.OCTAVES[3](),
    instrument=messages.INSTRUMENT(key="tuba"),
)


def test_a_sentence_with_sentences_inside():
    assert words(RANGE) == (
        "F sharp major over three octaves does not fit the range of the tuba; please choose fewer octaves."
    )


def test_it_comes_back_from_json_as_it_was():
    kept = json.loads(json.dumps(asdict(RANGE)))
    assert from_json(kept) == RANGE
    assert words(kept) == words(RANGE)


def test_a_chord_is_a_list_of_pitches():
    chord = (PitchName("A", 0, 3), PitchName("B", -1, 3), PitchName("D", 0, 4))
    assert "holds A 3, B flat 3 and D 4 together" in words(messages.PLAN_CHORD(bar="7", notes=chord))


@pytest.mark.parametrize(
    ("said", "text"), [(None, ""), ("As it was.", "As it was."), (1.5, "1.5"), (-3, "−3")]
)
def test_what_is_no_sentence_stays(said, text):
    assert words(said) == text


def test_numbers_with_their_sign():
    assert fill("{up:+} and {down:+} and {none:+}", up=3, down=-2, none=0) == "+3 and −2 and 0"


def test_a_sentence_of_a_later_version_is_owned_up_to():
    assert "finding.unheard_of" in words(Sentence("finding.unheard_of"))


def test_other_arguments_are_refused():
    with pytest.raises(TypeError, match="bar"):
        SentenceCode("score.some", "bar")(bars="3")
