"""The benchmark of kinds: its figures can fail, and one take of a kind is told as it was played."""

import pytest

from tests.accuracy.bench import synth
from tests.accuracy.bench.takes import Studio
from tests.accuracy.kinds import figures, plan, scoring
from tests.accuracy.kinds.scoring import KindScore, NoteTold
from tests.accuracy.long_recordings.talk import can_speak

needs_synth = pytest.mark.skipif(synth.missing() is not None, reason=str(synth.missing()))


def told(confidence: float, right: int, wrong: int) -> tuple[NoteTold, ...]:
    return tuple(NoteTold("violin", confidence, number < right, False) for number in range(right + wrong))


def figure(question: str, *scores: KindScore) -> figures.Figure:
    return next(one for one in figures.goals(list(scores)) if one.question.startswith(question))


def page(kind: str, *, refused: bool = False, notes: tuple[NoteTold, ...] = ()) -> KindScore:
    return KindScore("made", kind, refused, None, (), (), None, False, notes)


def test_a_band_that_promises_too_much_misses_its_goal():
    honest, too_sure = page(plan.STOPS, notes=told(0.8, 82, 18)), page(plan.STOPS, notes=told(0.95, 178, 22))
    assert figure("confidence, single notes", honest).met
    off = figure("confidence, single notes", honest, too_sure)
    assert (off.met, off.values) == (False, (pytest.approx(6.0),))


def test_a_band_of_few_notes_proves_nothing():
    few = figure("confidence, single notes", page(plan.STOPS, notes=told(0.95, 0, 99)))
    assert (few.met, few.reported) == (None, "too few notes")


def test_one_page_taken_for_another_misses_the_goal():
    pages = [page(plan.WRONG_PAGE, refused=True)] * 59
    assert figure("other pages", *pages).met
    assert figure("other pages", *pages, page(plan.WRONG_PAGE)).met is False


@pytest.mark.slow
@needs_synth
@pytest.mark.skipif(not can_speak(), reason="espeak-ng is not installed")
def test_a_low_voice_before_a_cello_plays_no_bars():
    score = scoring.measure(plan.announced(1, 2, Studio()))
    assert score.scored.form_right, score.scored.form_told
    assert abs(score.first_off_s) <= figures.FIRST_NOTE_S


@pytest.mark.slow
@needs_synth
def test_another_note_in_a_sampled_double_stop_is_told():
    score = scoring.measure(next(plan.takes(plan.STOPS_WRONG, 1, Studio())))
    wrong = [note for note in score.scored.notes if not note.played_right]
    assert len(wrong) == 3
    assert {note.status for note in wrong} == {"wrong_pitch"}
    assert {note.status for note in score.scored.notes if note.played_right} == {"played"}
