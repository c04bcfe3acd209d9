"""Small cases worked by hand, and what the plan says where it cannot plan."""

import pytest

from repertoire.notation.positions.boards import FINGERBOARDS, tuned, tuning_text
from repertoire.notation.positions.plan import Lock, Options, lowest_first, plan
from repertoire.notation.positions.printed import printed_fingering
from repertoire.notation.read.reading import read_score
from repertoire.wording.words import words
from tests.refusals import refusal

from ..makers import attributes, note, part, score
from .lines import read

VIOLIN, CELLO, BASS = FINGERBOARDS["violin"], FINGERBOARDS["cello"], FINGERBOARDS["double_bass"]


def fingers(planned) -> str:
    """Strings and fingers in order: "II1 II2 I0"."""
    return " ".join(f"{('I', 'II', 'III', 'IV')[n.string]}{n.finger}" for n in planned.notes)


def planned(line: str, board=VIOLIN, bpm: float = 90, bass: bool = False, **more):
    return plan(read(line, bass=bass).score, board=board, quarter_bpm=bpm, **more)


def said(result) -> tuple[str, ...]:
    return tuple(words(remark) for remark in result.remarks)


def test_a_violin_scale_stays_in_first_position():
    result = planned("A3 B3 C4 D4 E4 F#4 G4 A4", options=Options(open_strings=False))
    assert fingers(result) == "IV1 IV2 IV3 IV4 III1 III2 III3 III4"
    assert result.shifts == 0


def test_a_rising_cello_line_shifts_once_to_reach_what_first_position_does_not_hold():
    # B C D lie in first position on the A string; E and F do not: the hand moves once, to 1 on E.
    result = planned("B3 C4 D4 E4 F4", CELLO, options=Options(open_strings=False))
    assert result.shifts == 1


def test_a_bass_hand_holds_a_whole_tone():
    # Written A B flat B on the G string: first position, no shift. A further C needs one.
    held = planned("A3 Bb3 B3", BASS, bass=True)
    assert fingers(held) == "I1 I2 I4"
    assert (held.shifts, planned("A3 B3 C4", BASS, bass=True).shifts) == (0, 1)


def test_the_cost_of_two_notes_by_hand():
    def cost(line: str, open_strings: bool = False) -> int:
        return planned(line, options=Options(open_strings=open_strings, highest=1)).cost

    # First and second finger on one string in first position: nothing to pay.
    assert cost("B4 C5") == 0
    # First finger on two neighbouring strings: the crossing, 40, and the finger's hop, 60.
    assert cost("E4 B4") == 100
    # On a slur the crossing costs 60 more.
    assert cost("( E4 B4 )") == 160
    # Open G to E: the fourth finger leaps one string, 40 + 80; the open E would leap two, 40 + 160.
    assert cost("G3 E5", open_strings=True) == 120


def test_a_shift_is_made_where_there_is_time():
    # From B C D on the A string to G A B above: the hand moves in the rest, not amid the fast notes.
    line = "B4/0.25 C5/0.25 D5/0.25 r/2 A5/0.25 B5/0.25 C6/0.25 D6/0.25"
    result = planned(line, options=Options(open_strings=False))
    assert [n.shifted for n in result.notes] == [False, False, False, True, False, False, False]


def test_an_open_string_gives_time_to_shift():
    result = planned("B4/0.5 C5/0.5 E5/2 D6/0.5 E6/0.5 F6/0.5 G6/0.5", bpm=120)
    moved = [k for k, note in enumerate(result.notes) if note.shifted]
    assert moved == [3]
    assert result.notes[2].finger == 0


def test_a_slur_stays_on_one_string_where_it_can():
    options = Options(open_strings=True)
    slurred = planned("( D5/1 E5/1 D5/1 E5/1 )", options=options)
    assert len({note.string for note in slurred.notes}) == 1


def test_open_strings_off_still_plays_the_lowest_note():
    result = planned("G3 A3 D4", options=Options(open_strings=False))
    assert [note.finger for note in result.notes] == [0, 1, 4]


def test_the_highest_position_is_kept_and_reported():
    result = planned("A5 E6", options=Options(highest=1))
    assert [note.position for note in result.notes] == [1]
    assert said(result) == (
        "Bar 1: E 6 lies above the positions allowed here, so it is left out of the plan.",
    )


def test_a_note_below_the_instrument_is_reported_with_its_bar():
    result = planned("A3 B3 C4 D4 | F3 A3")
    assert said(result) == ("Bar 2: F 3 lies below the lowest string, so it is left out of the plan.",)
    assert len(result.notes) == 5


def test_double_stops_share_one_hand():
    result = planned("B3+G4 C4+A4 D4+B4")  # sixths on the two low strings
    pairs = list(zip(result.notes[::2], result.notes[1::2], strict=True))
    assert all(low.string == high.string + 1 and low.position == high.position for low, high in pairs)
    assert not result.remarks
    assert result.shifts == 0


def test_a_chord_no_hand_holds_is_reported():
    result = planned("A3+B3 C4")
    assert said(result) == (
        "Bar 1: no position holds A 3 and B 3 together; this chord is left out of the plan.",
    )
    assert len(result.notes) == 1


def test_a_cluster_of_many_notes_is_left_out_and_the_rest_planned():
    cluster = "+".join(f"{step}{octave}" for octave in (4, 5) for step in "CDEFGAB")
    result = planned(f"{cluster} {cluster.replace('C4+', '')} G3+D4+A4+E5")
    assert len(result.remarks) == 2
    assert {note.finger for note in result.notes} == {0}


def test_overlapping_voices_are_reported():
    upper = note("A", 4, 8, kind="whole", voice=1)
    lower = "<backup><duration>8</duration></backup>" + "".join(note("D", 4, voice=2) for _ in range(4))
    bar = f'<measure number="1">{attributes()}{upper}{lower}</measure>'
    result = plan(read_score(score(part([bar]))).score, board=VIOLIN, quarter_bpm=60)
    assert [text.split(";")[0] for text in said(result)] == ["Bar 1: two voices overlap"]


def test_locks_are_kept_and_planned_around():
    music = read("D5 E5 F5 G5").score
    third = music.notes[0].note_id
    result = plan(music, board=VIOLIN, quarter_bpm=60, locks={third: Lock(finger=1, string=1)})
    assert (result.notes[0].finger, result.notes[0].string, result.notes[0].position) == (1, 1, 3)
    assert fingers(result) == "II1 II2 II3 II4"


def test_a_lock_that_cannot_be_played_is_reported_and_left_out():
    music = read("A3 B3").score
    result = plan(music, board=VIOLIN, quarter_bpm=60, locks={music.notes[0].note_id: Lock(string=0)})
    assert said(result) == (
        "Bar 1: the finger or string chosen for A 3 cannot play it; it was planned without this choice.",
    )
    assert len(result.notes) == 2


def test_printed_fingering_is_read_and_can_be_planned_with():
    canonical = read("D5=1 E5 F5 G5=4")
    locks = printed_fingering(canonical.musicxml)
    assert [lock.finger for lock in locks.values()] == [1, 4]
    result = plan(canonical.score, board=VIOLIN, quarter_bpm=60, locks=locks)
    assert fingers(result) == "II1 II2 II3 II4"


def test_other_tunings():
    five = tuned(BASS, "B0 E1 A1 D2 G2")
    assert len(five.strings) == 5
    assert tuning_text(CELLO) == "C2 G2 D3 A3"
    lower = planned("G3", tuned(CELLO, "C2 G2 D3 G3"))
    assert lower.notes[0].finger == 0


@pytest.mark.parametrize(
    ("text", "wording"),
    [("C2 G2", "4 to 6 strings"), ("C2 G2 D3 H3", "like C2 G2 D3 A3"), ("C2 G2 D3 D3", "tuned higher")],
)
def test_tunings_that_cannot_be_read(text, wording):
    with refusal(wording):
        tuned(CELLO, text)


def test_the_lowest_first_reading_is_never_cheaper():
    music = read("A3 C#4 E4 A4 C#5 E5 A5 C#6").score
    naive = lowest_first(music, board=VIOLIN, quarter_bpm=90)
    assert plan(music, board=VIOLIN, quarter_bpm=90).cost <= naive.cost
