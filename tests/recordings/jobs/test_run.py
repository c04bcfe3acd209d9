"""The worker's way from claim to result, with the measuring itself replaced."""

import pytest
from django.db import OperationalError

from recordings.analysis import sentences
from recordings.analysis.process.in_child import AnalysisFailed, AnalysisStopped
from recordings.jobs import run
from recordings.models import Analysis, Review
from repertoire.notation import messages
from repertoire.wording.words import words
from tests.recordings.conftest import silent_for

RESULT = {
    "version": "9.9",
    "recording": {"duration_s": 12.5, "loudness_lufs": -20.0, "checks": []},
    "tempo": {"metronome_bpm": 95.5},
    "form": {"share_played": 0.98, "complete": True, "note_count": 50, "wrong_count": 1, "missing_count": 2},
    "intonation": {"judged": True, "within_tolerance_share": 0.8},
    "tuning": {"a4_hz": 441.2, "transposed_semitones": 0},
    "findings": [],
    "draft_marks": [{"caption": "intonation", "low": 6.0, "high": 8.0, "evidence": "most notes lie close"}],
}


class FakeAnalysis:
    """Stands for `analyse_file_in_child`: answers, or raises what it is told to."""

    def __init__(self):
        self.calls: list[tuple] = []
        self.trouble: Exception | None = None
        self.meanwhile = lambda: None

    def __call__(self, *asked, corrections, timeout_s, memory_mb, max_seconds, on_progress, keep_going):
        self.calls.append(asked)
        self.corrections = corrections
        on_progress("decode", 0.1)
        self.meanwhile()
        if self.trouble:
            raise self.trouble
        on_progress("notes", 0.7)
        return RESULT


@pytest.fixture
def child(monkeypatch):
    fake = FakeAnalysis()
    monkeypatch.setattr("recordings.analysis.process.in_child.analyse_file_in_child", fake)
    return fake


def test_a_take_is_measured_and_its_review_drafted(take, child):
    assert run.measure(take.analysis.pk)
    take.analysis.refresh_from_db()
    assert take.analysis.state == Analysis.State.DONE
    assert take.analysis.attempts == 1
    assert take.analysis.progress_percent == 100
    assert take.analysis.metronome_bpm == 95.5
    assert take.analysis.complete is True
    assert take.analysis.result == RESULT
    assert take.analysis.right_share == pytest.approx(0.94)
    assert take.analysis.in_tune_share == pytest.approx(0.8)
    review = Review.objects.get(take=take)
    assert review.state == Review.State.DRAFT
    assert float(review.marks.get(caption__name="Intonation").suggested_low) == 6.0


def test_what_is_asked_of_the_analysis(take, child, requirement):
    run.measure(take.analysis.pk)
    path, musicxml, form_options, settings, captions = child.calls[0]
    assert path.read_bytes() == take.sound.read()
    assert musicxml == requirement.excerpt.musicxml
    assert form_options == {"with_repeats": True, "bars": None}
    assert (settings.marked_bpm, settings.tempo_low_bpm, settings.tempo_high_bpm) == (96.0, 88.0, 104.0)
    keys = [caption.key for caption in captions]
    assert keys[1] == "intonation"
    assert keys[0].startswith("ear-")
    assert len(set(keys)) == 3


def test_a_storage_without_paths_is_copied_and_the_copy_removed(take, child, monkeypatch):
    def nowhere(self, name):
        raise NotImplementedError

    monkeypatch.setattr("django.core.files.storage.FileSystemStorage.path", nowhere)
    content = {}

    def opened(storage, name, mode="rb"):
        from django.core.files.base import ContentFile

        return ContentFile(b"sound of a bucket")

    monkeypatch.setattr("django.core.files.storage.FileSystemStorage.open", opened)
    child.meanwhile = lambda: content.update(read=child.calls[0][0].read_bytes())
    assert run.measure(take.analysis.pk)
    assert content["read"] == b"sound of a bucket"
    assert not child.calls[0][0].exists()


def test_of_two_claims_one_wins(take):
    first, second = (Analysis.objects.get(pk=take.analysis.pk) for _ in range(2))
    assert first.claim_for("one")
    assert not second.claim_for("two")
    assert Analysis.objects.get(pk=take.analysis.pk).claim == "one"


def test_a_second_message_does_nothing(take, child):
    run.measure(take.analysis.pk)
    assert not run.measure(take.analysis.pk)
    assert len(child.calls) == 1


def test_a_deleted_take_is_no_trouble(take, child):
    pk = take.analysis.pk
    take.delete()
    assert not run.measure(pk)


def test_a_silent_worker_is_replaced_and_writes_nothing(take, child):
    """The second worker claims in the middle of the first one's work; the first one's result is not kept."""

    def another_claims():
        silent_for(take.analysis, 3600)
        assert take.analysis.claim_for("another")

    child.meanwhile = another_claims
    assert not run.measure(take.analysis.pk)
    take.analysis.refresh_from_db()
    assert take.analysis.claim == "another"
    assert take.analysis.state == Analysis.State.RUNNING
    assert take.analysis.result is None
    assert not Review.objects.exists()


def test_a_stopped_child_is_a_lost_claim(take, child):
    child.trouble = AnalysisStopped("let go")
    assert not run.measure(take.analysis.pk)
    take.analysis.refresh_from_db()
    assert take.analysis.state == Analysis.State.RUNNING


def test_known_trouble_is_a_sentence(take, child):
    child.trouble = AnalysisFailed(sentences.EMPTY_SOUND())
    assert not run.measure(take.analysis.pk)
    take.analysis.refresh_from_db()
    assert take.analysis.state == Analysis.State.FAILED
    assert take.analysis.failure == {"code": "take.empty_sound", "args": {}}


def test_trouble_with_the_score_is_stored_in_words(take, child):
    child.trouble = AnalysisFailed(messages.NOT_MUSICXML())
    assert not run.measure(take.analysis.pk)
    take.analysis.refresh_from_db()
    assert words(take.analysis.failure).startswith("This is not a MusicXML file")


def test_a_bug_is_stored_and_raised(take, child):
    child.trouble = ZeroDivisionError("a bug")
    with pytest.raises(ZeroDivisionError):
        run.measure(take.analysis.pk)
    take.analysis.refresh_from_db()
    assert take.analysis.state == Analysis.State.FAILED
    assert "on our side" in words(take.analysis.failure)
    assert "a bug" not in words(take.analysis.failure)


def test_a_draft_that_fails_leaves_no_result(take, child, monkeypatch):
    def broken(take, result):
        raise RuntimeError("a bug")

    monkeypatch.setattr("recordings.jobs.run.draft_review", broken)
    with pytest.raises(RuntimeError):
        run.measure(take.analysis.pk)
    take.analysis.refresh_from_db()
    assert take.analysis.state == Analysis.State.FAILED
    assert take.analysis.result is None


@pytest.mark.parametrize("trouble", [OSError(28, "no space"), OperationalError("database is locked")])
def test_passing_trouble_goes_back_to_the_queue(take, child, trouble):
    child.trouble = trouble
    assert not run.measure(take.analysis.pk)
    take.analysis.refresh_from_db()
    assert take.analysis.state == Analysis.State.WAITING
    assert take.analysis.attempts == 1


def test_trouble_that_does_not_pass_ends_with_a_sentence(take, child, settings):
    child.trouble = OSError(28, "no space")
    for _ in range(settings.ANALYSIS_MAX_ATTEMPTS):
        run.measure(take.analysis.pk)
    take.analysis.refresh_from_db()
    assert take.analysis.state == Analysis.State.FAILED
    assert "broken off several times" in words(take.analysis.failure)


@pytest.mark.slow
def test_warming_up_works_and_never_stops_a_worker(caplog, monkeypatch):
    run.warm_up()
    assert "Warming up failed" not in caplog.text
    monkeypatch.setattr("sys.executable", "false")
    run.warm_up()
    assert "Warming up failed" in caplog.text


def test_a_file_nobody_can_hear_asks_for_another_and_a_trouble_of_ours_does_not(take, child):
    child.trouble = AnalysisFailed(sentences.NOT_AUDIO(), of_the_file=True)
    assert not run.measure(take.analysis.pk)
    take.analysis.refresh_from_db()
    assert take.analysis.unusable == Analysis.Unusable.UNREADABLE
    assert take.analysis.start_again()
    child.trouble = AnalysisFailed(sentences.FAILED_TIME())
    assert not run.measure(take.analysis.pk)
    take.analysis.refresh_from_db()
    assert (take.analysis.state, take.analysis.unusable) == (Analysis.State.FAILED, "")
