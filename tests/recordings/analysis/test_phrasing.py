"""Time taken where music takes it is no hesitation; a break in the line is one."""

from dataclasses import replace

import pytest

from recordings.analysis.follow import events
from recordings.analysis.follow.matched import MatchedBar, MatchedForm
from recordings.analysis.measure import hesitations
from recordings.analysis.measure.anchors import Anchor
from repertoire.notation.score import Note, Score
from tests.recordings.analysis.made import form, score

QUARTER_S = 0.5
EIGHTHS = [(62, 64, 66, 67, 69, 71, 73, 74)] * 8
IN_REPEATED_HALVES = (0, 1, 2, 3, 0, 1, 2, 3, 4, 5, 6, 7, 4, 5, 6, 7)


def stops(printed: Score, held: dict[tuple[int, float], float], order=None) -> list[tuple[str, float]]:
    """(bar, seconds) told of a take in time but for `held`.

    `held`: seconds more after the event at (position in the form, quarters into its bar).
    """
    played = form(printed, order)
    chain = events.build(played)
    now, points = 0.0, []
    for event in chain:
        points.append(Anchor(event.start_q, now, event.index, event.position, 0.95, 0.005))
        into = round(event.start_q - played.bars[event.position].start_q, 3)
        now += QUARTER_S * event.length_q + held.get((event.position, into), 0.0)
    bars = tuple(
        MatchedBar(b.position, b.measure_index, "m", str(b.measure_index + 1), b.pass_number, 0.0, 1.0, False)
        for b in played.bars
    )
    matched = MatchedForm(bars, (), (), (), (), (), True, "")
    found = hesitations.hesitations(played, chain, matched, points, ())
    return [(stop.bar, round(stop.seconds, 1)) for stop in found]


def test_a_break_amid_running_notes_is_told():
    assert stops(score(EIGHTHS), {(2, 1.5): 0.9}) == [("3", 0.9)]


def test_a_break_over_the_bar_line_is_told():
    assert stops(score(EIGHTHS), {(2, 3.5): 0.9}) == [("4", 0.9)]


@pytest.mark.parametrize("into_bar", [3.5, 2.0])
def test_time_at_the_end_of_a_section_is_not_told(into_bar):
    printed = replace(score(EIGHTHS), order=IN_REPEATED_HALVES)
    assert stops(printed, {(7, into_bar): 1.8}, IN_REPEATED_HALVES) == []


def test_a_section_closes_where_its_repeat_stands_in_print_though_it_is_left_out():
    printed = replace(score(EIGHTHS), order=IN_REPEATED_HALVES)
    assert stops(printed, {(3, 3.5): 1.8}, tuple(range(8))) == []


def test_a_stop_too_long_for_any_section_end_is_told():
    printed = replace(score(EIGHTHS), order=IN_REPEATED_HALVES)
    assert stops(printed, {(7, 3.5): 9.0}, IN_REPEATED_HALVES) == [("5", 9.0)]


def with_last_of_bar_3(length_q: float, *, rest_q: float = 0.0) -> Score:
    """Eighth notes, but for one longer note at the end of bar 3, with a rest after it."""
    printed = score(EIGHTHS)
    start = 4.0 - length_q - rest_q
    kept = [n for n in printed.notes if not (n.measure_index == 2 and n.start_q >= start)]
    held = Note("held", 2, start, length_q, 69, "A", 0, 4)
    return replace(printed, notes=tuple(sorted([*kept, held], key=lambda n: (n.measure_index, n.start_q))))


def test_a_breath_after_a_long_note_is_not_told():
    assert stops(with_last_of_bar_3(2.0), {(2, 2.0): 1.2}) == []


def test_a_breath_at_a_rest_is_not_told_and_a_long_stop_there_is():
    printed = with_last_of_bar_3(0.5, rest_q=0.5)
    assert stops(printed, {(2, 3.0): 1.2}) == []
    assert stops(printed, {(2, 3.0): 3.0}) == [("4", 3.0)]


def test_time_for_a_rolled_chord_is_not_told():
    printed = score(EIGHTHS)
    chord = tuple(Note(f"c{m}", 3, 0.0, 0.5, m, "C", 0, 4, chord=True) for m in (43, 50, 59))
    notes = sorted([*printed.notes, *chord], key=lambda n: (n.measure_index, n.start_q, n.midi))
    assert stops(replace(printed, notes=tuple(notes)), {(2, 3.5): 0.9}) == []


def test_a_place_stretched_alike_in_both_passes_is_phrasing():
    printed = replace(score(EIGHTHS), order=IN_REPEATED_HALVES)
    assert stops(printed, {(1, 1.5): 0.9, (5, 1.5): 0.7}, IN_REPEATED_HALVES) == []
    assert stops(printed, {(1, 1.5): 0.9, (5, 1.5): 0.1}, IN_REPEATED_HALVES) == [("2", 0.9)]
