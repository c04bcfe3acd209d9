"""What was played has its name: late starts, music played twice or beside what is asked, notes taken up."""

from dataclasses import replace

import pytest

from recordings.analysis.analyse import analyse
from recordings.analysis.document.contract import validate
from repertoire.notation.order import forms
from repertoire.wording.words import words
from tests.recordings.analysis.made import TUNE, Player, Sounded, form, score, settings

pytestmark = pytest.mark.slow

PLAIN = score()
ALL = tuple(range(12))
WITH_REPEAT = (0, 1, 2, 3, 4, 5, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11)
REPEATED = score(order=WITH_REPEAT)


def told(printed, asked, sounded: list[Sounded]) -> dict[str, str]:
    """Kind and sentence of everything told of this sound, strengths apart."""
    document = analyse(Player().render(sounded), form(printed, asked), settings()).to_json()
    validate(document)
    return {f["kind"]: words(f["text"]) for f in document["findings"] if not f["strength"]}


def played(printed, asked, order) -> dict[str, str]:
    return told(printed, asked, Player().play(printed, order))


@pytest.mark.parametrize(
    ("begins", "text"),
    [(1, "The take begins at bar 2; bar 1 is heard only with the repeat."),
     (2, "The take begins at bar 3; bars 1-2 are heard only with the repeat."),
     (4, "The take begins at bar 5; bars 1-4 are heard only with the repeat.")],
)  # fmt: skip
def test_a_late_start_before_a_repeat_is_no_repeat_left_out(begins, text):
    assert played(REPEATED, WITH_REPEAT, WITH_REPEAT[begins:]) == {"began_late": text}


def test_a_repeat_left_out_is_still_one():
    assert set(played(REPEATED, WITH_REPEAT, ALL)) == {"repeat_left_out"}


@pytest.mark.parametrize(("until", "bars"), [(6, "1-6"), (4, "1-4")])
def test_bars_played_twice_without_a_sign_are_no_new_start(until, bars):
    found = played(PLAIN, ALL, (*range(until), *ALL))
    assert found == {"repeat_added": f"Played again, though no repeat is asked for: bars {bars}."}


def test_the_whole_for_its_first_bars_is_said():
    found = played(PLAIN, tuple(range(6)), ALL)
    assert found == {"played_on": "Played on past what is asked: bars 7-12 as well."}


def test_bars_before_what_is_asked_are_said():
    found = played(PLAIN, tuple(range(3, 8)), ALL)
    assert found == {
        "began_before": "Begun before what is asked: bars 1-3 as well.",
        "played_on": "Played on past what is asked: bars 9-12 as well.",
    }


def test_the_whole_twice_for_some_bars_amid_it_is_no_new_start():
    found = played(PLAIN, tuple(range(3, 8)), (*ALL, *ALL))
    assert "restart" not in found
    assert found["repeat_added"] == "Played again, though no repeat is asked for: bars 4-8."


def taken_up(bar: int, until: int, back_to: int, pause_s: float) -> list[Sounded]:
    """Everything once, but in one bar up to note `until`, and on from note `back_to` after a pause."""
    quarter_s, sounded, now = 60.0 / 96.0, [], 0.6
    for index in ALL:
        notes = PLAIN.notes_in(index)
        parts = [notes[:until], notes[back_to:]] if index == bar else [notes]
        for part in parts:
            first_q = part[0].start_q if part is not notes else 0.0
            for note in part:
                start_s = now + (note.start_q - first_q) * quarter_s
                end_s = start_s + 0.93 * note.duration_q * quarter_s
                sounded.append(Sounded(note.note_id, start_s, end_s, note.midi))
            last = part[-1]
            now += (last.start_q + last.duration_q - first_q) * quarter_s
            now += pause_s if part is not parts[-1] else 0.0
    return sounded


@pytest.mark.parametrize("bar", [1, 7, 9])
@pytest.mark.parametrize(("until", "back_to"), [(2, 0), (3, 1), (6, 4)])
@pytest.mark.parametrize("pause_s", [0.0, 0.7])
def test_two_or_three_notes_taken_up_again_are_no_hesitation(bar, until, back_to, pause_s):
    found = told(PLAIN, ALL, taken_up(bar, until, back_to, pause_s))
    assert found["restart"].startswith(f"Bar {bar + 1}: some notes are taken up again")


@pytest.mark.parametrize("pause_s", [0.9, 1.6])
def test_a_stop_in_silence_stays_a_hesitation(pause_s):
    found = told(PLAIN, ALL, Player(pauses={6: pause_s}).play(PLAIN, ALL))
    assert set(found) == {"hesitation"}


def divided_bar_six():
    """Bars 1 to 6 repeated, the sixth divided by the sign: its last quarter is the next section's upbeat."""
    printed = score((*TUNE[:6], TUNE[11], *TUNE[6:]))
    numbers = ["1", "2", "3", "4", "5", "6", "6", "7", "8", "9", "10", "11", "12"]
    measures = tuple(replace(m, number=number) for m, number in zip(printed.measures, numbers, strict=True))
    order = (*range(6), *range(6), *range(6, 13))
    return replace(printed, measures=measures, order=order)


@pytest.mark.parametrize(
    ("bars", "first", "last"),
    [(("1", "6"), 0, 5), (("6", "12"), 6, 12), (("1", "7"), 0, 7), (("6", "6"), 5, 6), (("3", "5"), 2, 4)],
)
def test_a_section_ends_at_its_repeat_sign_and_leaves_the_next_upbeat_out(bars, first, last):
    measures = {bar.measure_index for bar in forms.play(divided_bar_six(), bars=bars).bars}
    assert (min(measures), max(measures)) == (first, last)
