from recordings.analysis import sentences
from recordings.jobs import failures
from recordings.wording.findings import FINDINGS
from recordings.wording.marks import MARKS
from recordings.wording.recording import RECORDING
from tests.sentences import declared, places


def test_every_sentence_of_recordings_has_words_with_its_arguments():
    templates = {**RECORDING, **FINDINGS, **MARKS}
    assert {code: places(template) for code, template in templates.items()} == {
        **declared(sentences),
        **declared(failures),
    }
