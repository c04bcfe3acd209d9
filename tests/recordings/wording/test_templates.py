from recordings.analysis import sentences
from recordings.jobs import failures
from recordings.leaving import sentences as leaving
from recordings.sending import sentences as sending
from recordings.wording.findings import FINDINGS
from recordings.wording.leaving import LEAVING
from recordings.wording.marks import MARKS
from recordings.wording.recording import RECORDING
from recordings.wording.sending import SENDING
from tests.sentences import declared, places


def test_every_sentence_of_recordings_has_words_with_its_arguments():
    templates = {**RECORDING, **FINDINGS, **MARKS, **SENDING, **LEAVING}
    assert {code: places(template) for code, template in templates.items()} == {
        **declared(sentences),
        **declared(failures),
        **declared(sending),
        **declared(leaving),
    }
