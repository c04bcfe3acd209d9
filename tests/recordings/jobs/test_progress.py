from recordings.analysis import stages
from recordings.jobs.progress import STAGE_WORDS, words_for
from recordings.models import Analysis


def test_every_stage_of_the_analysis_has_words():
    assert {value for name, value in vars(stages).items() if name.isupper()} == set(STAGE_WORDS)


def test_waiting_starting_and_a_stage_not_known_yet():
    assert words_for(Analysis(state="waiting")) == "This take waits its turn"
    assert words_for(Analysis(state="running")) == "Getting ready to listen"
    assert words_for(Analysis(state="running", stage="something new")) == "Listening"
