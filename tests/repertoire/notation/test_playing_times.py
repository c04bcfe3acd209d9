"""Times of notes and beats against sums anyone can do on paper."""

from itertools import pairwise

import pytest

from repertoire.notation.order.forms import play
from repertoire.notation.order.playing_times import GRACE_S, duration_s, playing_times
from repertoire.notation.read.reading import read_score
from tests.repertoire.notation import makers


def times_of(printed: list[str], *, bpm: float = 60, unit: float = 1.0, marked: float | None = None, **form):
    score = read_score(makers.score(makers.part(printed))).score
    return playing_times(play(score, **form), bpm=bpm, beat_unit_q=unit, marked_bpm=marked)


def bar(number: int, inside: str) -> str:
    return f'<measure number="{number}">{inside}</measure>'


def mark(bpm: int, unit: str = "quarter") -> str:
    return (
        f"<direction><direction-type><metronome><beat-unit>{unit}</beat-unit>"
        f"<per-minute>{bpm}</per-minute></metronome></direction-type></direction>"
    )


QUARTERS = makers.note() * 4
HEAD = makers.attributes()
FOUR = [bar(1, HEAD + QUARTERS), *[bar(k, QUARTERS) for k in (2, 3, 4)]]


def test_four_bars_of_four_at_sixty_last_sixteen_seconds():
    times = times_of(FOUR)
    assert times.length_s == pytest.approx(16)
    assert [note.onset_s for note in times.notes] == pytest.approx(list(range(16)))
    assert {note.duration_s for note in times.notes} == {1.0}
    assert [note.beat for note in times.notes[:5]] == [1, 2, 3, 4, 1]
    assert [bar.at_s for bar in times.bars] == [0, 4, 8, 12]


def test_twice_the_tempo_is_half_the_time():
    slow, fast = times_of(FOUR, bpm=60), times_of(FOUR, bpm=120)
    assert fast.length_s == pytest.approx(slow.length_s / 2)


def test_a_bar_is_counted_in_and_its_first_beat_is_accented():
    times = times_of(FOUR)
    assert [(click.at_s, click.accent, click.beat) for click in times.count_in] == [
        (-4, True, 1),
        (-3, False, 2),
        (-2, False, 3),
        (-1, False, 4),
    ]
    assert times.count_in_s == 4
    assert [click.accent for click in times.clicks] == [True, False, False, False] * 4


def test_six_eight_at_dotted_quarter_sixty():
    eighths = makers.note(duration=1, kind="eighth") * 6
    head = makers.attributes(beats=6, beat_type=8)
    times = times_of([bar(1, head + eighths), bar(2, eighths)], unit=1.5)
    assert times.length_s == pytest.approx(4)
    assert [click.at_s for click in times.clicks] == pytest.approx([0, 1, 2, 3])
    assert times.notes[1].onset_s == pytest.approx(1 / 3)
    assert times.notes[1].beat == pytest.approx(1 + 1 / 3)


def test_a_pickup_stands_on_its_own_beat_and_is_counted_up_to():
    times = times_of([f'<measure number="0" implicit="yes">{HEAD}{makers.note()}</measure>', *FOUR[1:]])
    assert times.notes[0].beat == 4
    assert [click.beat for click in times.count_in] == [1, 2, 3, 4, 1, 2, 3]
    assert not times.clicks[0].accent
    assert times.clicks[1].accent
    assert times.clicks[1].at_s == pytest.approx(1)


def test_the_two_halves_of_a_split_bar_count_on():
    half = makers.note() * 2
    times = times_of([FOUR[0], bar(2, half + makers.repeat_end()), bar(3, half), FOUR[3]])
    assert [note.beat for note in times.notes if note.bar == "3"] == [3, 4]


def test_a_tempo_change_inside_keeps_its_ratio_at_any_tempo():
    bars = [bar(1, HEAD + mark(60) + QUARTERS), bar(2, QUARTERS), bar(3, mark(120) + QUARTERS), FOUR[3]]
    assert times_of(bars, bpm=60).length_s == pytest.approx(4 + 4 + 2 + 2)
    assert times_of(bars, bpm=30).length_s == pytest.approx(24)


def test_a_change_amid_a_bar_bends_the_note_that_is_held_through_it():
    held = makers.note(duration=8, kind="whole")
    middle = (
        "<backup><duration>4</duration></backup>" + mark(120) + "<forward><duration>4</duration></forward>"
    )
    times = times_of([bar(1, HEAD + mark(60) + held + middle), *FOUR[1:2]])
    assert times.notes[0].duration_s == pytest.approx(2 + 1)


def test_another_beat_unit_in_the_mark():
    bars = [bar(1, HEAD + mark(60) + QUARTERS), bar(2, mark(60, "half") + QUARTERS)]
    assert times_of(bars).length_s == pytest.approx(4 + 2)


def test_a_repeat_goes_back_to_the_tempo_printed_there():
    bars = [bar(1, HEAD + mark(60) + QUARTERS), bar(2, mark(120) + QUARTERS + makers.repeat_end())]
    times = times_of(bars)
    assert [b.at_s for b in times.bars] == pytest.approx([0, 4, 6, 10])


@pytest.mark.parametrize(
    ("bpm", "marked", "bars", "seconds"),
    [(60, None, None, 4 + 2), (30, 60, None, 8 + 4), (60, 60, ("2", "2"), 4)],
)
def test_a_form_takes_as_long_as_its_notes_do(bpm, marked, bars, seconds):
    printed = [FOUR[0], bar(2, mark(120) + QUARTERS)] if marked else [bar(1, HEAD + mark(60) + QUARTERS)]
    printed = printed if marked else [*printed, bar(2, mark(120) + QUARTERS)]
    form = play(read_score(makers.score(makers.part(printed))).score, bars=bars)
    assert duration_s(form, bpm=bpm, beat_unit_q=1.0, marked_bpm=marked) == pytest.approx(seconds)


def test_beginning_late_the_chosen_tempo_holds_there():
    bars = [bar(1, HEAD + mark(60) + QUARTERS), bar(2, mark(120) + QUARTERS), *FOUR[2:]]
    assert times_of(bars, bpm=60, bars=("2", "4")).length_s == pytest.approx(12)


def test_without_a_first_mark_later_ones_keep_their_ratio_to_the_marked_tempo():
    bars = [FOUR[0], bar(2, mark(120) + QUARTERS)]
    assert times_of(bars, bpm=30, marked=60).length_s == pytest.approx(8 + 4)


def test_grace_notes_stand_before_the_beat_and_staccato_is_short():
    grace = makers.note("D", head="<grace/>")
    short = makers.note(notations="<articulations><staccato/></articulations>")
    times = times_of([bar(1, HEAD + makers.note() + grace + short + makers.note() * 2)])
    assert [note.onset_s for note in times.notes] == pytest.approx([0, 1 - GRACE_S, 1, 2, 3])
    assert times.notes[2].duration_s == pytest.approx(0.5)


def test_times_never_run_backwards_through_repeats_and_jumps():
    bars = [bar(1, HEAD + mark(72) + QUARTERS), bar(2, mark(50) + QUARTERS + makers.repeat_end()), *FOUR[2:]]
    onsets = [note.onset_s for note in times_of(bars, bpm=91).notes]
    assert all(there > here for here, there in pairwise(onsets))
