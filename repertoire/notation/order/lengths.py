"""How long a form takes at a tempo, with the changes of tempo that are printed in it."""

from repertoire.notation.score import Form, Score, TempoMark


def numbered_marks(score: Score) -> list[TempoMark]:
    """Tempo marks with a number, in print order; words alone ("rit.") say no length."""
    marks = [mark for mark in score.tempo_marks if mark.bpm]
    return sorted(marks, key=lambda mark: (mark.measure_index, mark.start_q))


def duration_s(form: Form, *, bpm: float, beat_unit_q: float) -> float:
    """Seconds of the form when its first mark is taken at `bpm`; later marks move in the same proportion."""
    marks = numbered_marks(form.score)
    if not marks:
        return form.length_q * 60 / (bpm * beat_unit_q)
    first = marks[0]
    share = bpm * beat_unit_q / (_bpm(first) * first.beat_unit_q)
    seconds = 0.0
    for bar in form.bars:
        seconds += _bar_s(form.score, bar.measure_index, marks) / share
    return seconds


def _bar_s(score: Score, index: int, marks: list[TempoMark]) -> float:
    """Seconds of one printed bar as marked; before the first mark its tempo holds already."""
    pace = marks[0]
    for mark in marks:
        if (mark.measure_index, mark.start_q) <= (index, 0):
            pace = mark
    seconds, reached = 0.0, 0.0
    inside = [mark for mark in marks if mark.measure_index == index and mark.start_q > 0]
    for mark in inside:
        seconds += (mark.start_q - reached) * _quarter_s(pace)
        pace, reached = mark, mark.start_q
    return seconds + max(0.0, score.measures[index].length_q - reached) * _quarter_s(pace)


def _quarter_s(mark: TempoMark) -> float:
    return 60 / (_bpm(mark) * mark.beat_unit_q)


def _bpm(mark: TempoMark) -> float:
    assert mark.bpm
    return mark.bpm
