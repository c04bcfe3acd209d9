import pytest

from repertoire.notation import messages
from repertoire.wording.scores import SCORES
from repertoire.wording.templates import register
from tests.sentences import declared, places


def test_every_sentence_of_notation_has_words_with_its_arguments():
    assert {code: places(template) for code, template in SCORES.items()} == declared(messages)


def test_a_code_gets_no_second_template():
    with pytest.raises(ValueError, match=r"score\.opus"):
        register({"score.opus": "Another."})
