"""The bounded child: its result, its limits, its end."""

import multiprocessing

import pytest

from recordings.analysis.corrections import Corrections
from recordings.analysis.document.contract import CaptionSpec, validate
from recordings.analysis.process.in_child import AnalysisFailed, AnalysisStopped, analyse_file_in_child
from repertoire.notation.read.reading import read_score
from repertoire.wording.words import words
from tests.recordings.analysis.made import settings
from tests.recordings.sounds import tone, tune_sound, write_sound

pytestmark = pytest.mark.slow

NOTES = "".join(
    f"<note><pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>1</duration></note>"
    for step, octave in [("A", 4), ("B", 4), ("C", 5), ("D", 5)]
)
XML = f"""<?xml version="1.0"?><score-partwise version="4.0"><part-list><score-part id="P1">
<part-name>Violin</part-name></score-part></part-list><part id="P1"><measure number="1"><attributes>
<divisions>1</divisions><key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time>
<clef><sign>G</sign><line>2</line></clef></attributes>{NOTES}</measure><measure number="2">{NOTES}</measure>
</part></score-partwise>"""


@pytest.fixture(scope="module")
def musicxml() -> str:
    return read_score(XML.encode()).musicxml


@pytest.fixture
def take(tmp_path):
    return write_sound(tmp_path / "take.wav", tune_sound(96.0, (69, 71, 72, 74, 69, 71, 72, 74)))


def run(path, musicxml, **more):
    options = {"with_repeats": True, "bars": None}
    return analyse_file_in_child(path, musicxml, options, settings(), **more)


def test_the_result_and_its_progress(take, musicxml):
    seen = []
    captions = (CaptionSpec("intonation", "Intonation", 1, 10, 1),)
    said = Corrections(begins_s=0.1)
    document = run(
        take, musicxml, captions=captions, corrections=said, on_progress=lambda *step: seen.append(step)
    )
    validate(document)
    assert [outcome["what"] for outcome in document["corrections"]] == ["begins"]
    assert document["form"]["bars_played"] == ["1", "2"]
    assert len(document["draft_marks"]) == 1
    assert len(seen) >= 5
    assert [share for _, share in seen] == sorted(share for _, share in seen)


def test_only_the_bars_asked_for(take, musicxml):
    document = analyse_file_in_child(
        take, musicxml, {"with_repeats": True, "bars": ["1", "1"]}, settings(), ()
    )
    assert {n["bar"] for n in document["notes"]} == {"1"}


def test_a_file_that_is_no_sound_gives_its_sentence(tmp_path, musicxml):
    path = tmp_path / "take.mp3"
    path.write_text("no sound at all")
    with pytest.raises(AnalysisFailed, match="not_audio"):
        run(path, musicxml)


def test_a_bar_the_score_does_not_have_is_said_in_words(take, musicxml):
    with pytest.raises(AnalysisFailed) as failed:
        analyse_file_in_child(take, musicxml, {"with_repeats": True, "bars": ["7", "9"]}, settings(), ())
    said = words(failed.value.sentence)
    assert "7" in said
    assert said.endswith(".")
    assert "score." not in said


def test_too_long_for_its_time(take, musicxml):
    with pytest.raises(AnalysisFailed, match="failed_time"):
        run(take, musicxml, timeout_s=0.05)


def test_too_little_memory_is_a_sentence(take, musicxml):
    with pytest.raises(AnalysisFailed) as failed:
        run(take, musicxml, memory_mb=30)
    assert words(failed.value.sentence).startswith("This take needed more memory")
    assert failed.value.details


def test_a_recording_over_the_limit(tmp_path, musicxml):
    with pytest.raises(AnalysisFailed, match="too_long"):
        run(write_sound(tmp_path / "long.wav", tone(9.0)), musicxml, max_seconds=4)


def test_it_stops_when_nobody_wants_it(take, musicxml):
    with pytest.raises(AnalysisStopped):
        run(take, musicxml, keep_going=lambda: False)


def test_what_the_progress_raises_comes_through(take, musicxml):
    def stumble(stage, share):
        raise LookupError("gone")

    with pytest.raises(LookupError, match="gone"):
        run(take, musicxml, on_progress=stumble)


def _as_pool_worker(path, musicxml, answers) -> None:
    answers.put(run(path, musicxml)["form"]["bars_played"])


def test_it_runs_under_a_daemonic_worker(take, musicxml):
    answers = multiprocessing.get_context("fork").Queue()
    worker = multiprocessing.get_context("fork").Process(
        target=_as_pool_worker, args=(take, musicxml, answers), daemon=True
    )
    worker.start()
    assert answers.get(timeout=60) == ["1", "2"]
    worker.join(timeout=10)
