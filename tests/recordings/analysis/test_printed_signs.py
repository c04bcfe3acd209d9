"""What the print asks for besides the notes: changes of tempo, figures, levels, accents."""

from dataclasses import replace

import numpy as np
import pytest

from recordings.analysis.analyse import analyse
from recordings.analysis.measure.printed_tempo import stretches
from recordings.analysis.recording import loudness
from repertoire.notation.score import Dynamic, Note, TempoMark
from repertoire.wording.words import words
from tests.recordings.analysis.made import Player, audio, form, render, score, settings

pytestmark = pytest.mark.slow

RATE = 48_000
ALL = tuple(range(12))
ALLEGRO = TempoMark(0, 0.0, 96.0, 1.0, "Allegro")


def document(printed, player: Player, order=ALL, **more) -> dict:
    return analyse(
        player.render(player.play(printed, order)), form(printed, order), settings(**more)
    ).to_json()


def texts(result: dict, kind: str) -> list[str]:
    return [words(f["text"]) for f in result["findings"] if f["kind"] == kind]


SLOWER = replace(score(), tempo_marks=(ALLEGRO, TempoMark(6, 0.0, 64.0, 1.0, "Meno mosso")))


def test_a_new_metronome_mark_that_is_played_is_no_fault():
    result = document(SLOWER, Player(pace=lambda bar: 1.0 if bar < 6 else 64 / 96))
    assert result["tempo"]["metronome_bpm"] == pytest.approx(96, abs=1.5)
    assert result["tempo"]["steadiness_percent"] < 3
    assert not result["tempo"]["hesitations"]
    change = result["tempo"]["changes"][0]
    assert (change["bar"], change["kind"]) == ("7", "new_tempo")
    assert change["before_bpm"] == pytest.approx(96, abs=2)
    assert change["after_bpm"] == pytest.approx(64, abs=2)
    assert not [f for f in result["findings"] if not f["strength"]]


def test_a_new_metronome_mark_that_is_not_played_is_told():
    result = document(SLOWER, Player())
    assert texts(result, "tempo_change") == [
        "Bar 7: the new tempo would be about 64 after this beginning; it goes from 96 to 96."
    ]


RIT = replace(score(), tempo_marks=(ALLEGRO, TempoMark(5, 0.0, None, 1.0, "rit."),
                                    TempoMark(7, 0.0, None, 1.0, "a tempo")))  # fmt: skip


def test_a_rit_and_its_a_tempo_are_no_unsteadiness():
    paces = {5: 0.85, 6: 0.7}
    result = document(RIT, Player(pace=lambda bar: paces.get(bar, 1.0)))
    assert [b["free"] for b in result["tempo"]["bars"]] == [bar in (5, 6) for bar in range(12)]
    assert result["tempo"]["steadiness_percent"] < 2
    assert [c["kind"] for c in result["tempo"]["changes"]] == ["slowing", "a_tempo"]
    assert not texts(result, "tempo_change")


def test_a_rit_that_is_not_heard_is_said_to_be_uncertain():
    result = document(RIT, Player())
    found = [f for f in result["findings"] if f["kind"] == "tempo_change"]
    assert [f["certainty"] for f in found] == ["unsure"]
    assert "rit." in words(found[0]["text"])


def test_an_a_tempo_that_does_not_come_back_is_told():
    result = document(RIT, Player(pace=lambda bar: 1.0 if bar < 5 else 0.8))
    assert any("a tempo" in text for text in texts(result, "tempo_change"))


@pytest.mark.parametrize("asked_bpm", [48, 80, 96, 144])
def test_the_tempo_is_the_same_whatever_tempo_is_asked(asked_bpm):
    result = document(replace(score(), tempo_marks=(ALLEGRO,)), Player(bpm=84), bpm=asked_bpm)
    assert result["tempo"]["metronome_bpm"] == pytest.approx(84, abs=1)
    assert result["tempo"]["ratio_to_marked"] == pytest.approx(84 / asked_bpm, rel=0.012)


@pytest.mark.parametrize("asked_bpm", [48, 72, 96])
def test_a_later_mark_is_read_against_print_whatever_tempo_is_asked(asked_bpm):
    result = document(SLOWER, Player(bpm=72, pace=lambda bar: 1.0 if bar < 6 else 64 / 96), bpm=asked_bpm)
    assert result["tempo"]["metronome_bpm"] == pytest.approx(72, abs=1)
    assert not texts(result, "tempo_change")
    assert not result["tempo"]["hesitations"]


def test_where_print_begins_without_a_mark_a_later_one_proves_nothing():
    late = replace(score(), tempo_marks=(TempoMark(6, 0.0, 64.0, 1.0, "Meno mosso"),))
    result = document(late, Player(bpm=72), bpm=96)
    assert result["tempo"]["metronome_bpm"] == pytest.approx(72, abs=1)
    assert not texts(result, "tempo_change")


def test_where_the_music_has_a_tempo_of_its_own_a_later_mark_is_read_against_that():
    late = replace(score(), tempo_marks=(TempoMark(6, 0.0, 64.0, 1.0, "Meno mosso"),))
    result = document(late, Player(bpm=72), bpm=72, printed_q_per_minute=96.0)
    assert texts(result, "tempo_change") == [
        "Bar 7: the new tempo would be about 48 after this beginning; it goes from 72 to 72."
    ]


def test_a_tempo_only_playback_knows_is_no_sign():
    playback = replace(score(), tempo_marks=(ALLEGRO, replace(SLOWER.tempo_marks[1], text="", printed=False)))
    result = document(playback, Player())
    assert result["tempo"]["metronome_bpm"] == pytest.approx(96, abs=1)
    assert not texts(result, "tempo_change")


def test_with_rubato_the_tempo_is_the_one_a_metronome_would_be_set_to():
    """Most bars a little held and some pressed on: beats over time, not the middle bar."""
    paces = (0.95, 0.95, 1.2)
    result = document(score(), Player(pace=lambda bar: paces[bar % 3]))
    mean_s = np.mean([1 / pace for pace in paces])
    assert result["tempo"]["median_bpm"] == pytest.approx(96 * 0.95, abs=1.5)
    assert result["tempo"]["metronome_bpm"] == pytest.approx(96 / mean_s, abs=1)


def test_signs_hold_from_bar_to_bar_and_across_jumps():
    marked = replace(
        score(),
        tempo_marks=(ALLEGRO, TempoMark(2, 0.0, 48.0, 1.0), TempoMark(4, 0.0, None, 1.0, "rall.")),
    )
    found = stretches(form(marked, (0, 1, 2, 3, 4, 5, 2, 3, 0)))
    assert [(p.first, p.last, p.kind, p.pace) for p in found] == [
        (0, 1, "steady", 1.0), (2, 3, "steady", 0.5), (4, 5, "slowing", 0.5), (6, 7, "steady", 0.5),
        (8, 8, "steady", 1.0),
    ]  # fmt: skip


def test_a_rit_no_sign_ends_lasts_four_bars():
    marked = replace(score(), tempo_marks=(ALLEGRO, TempoMark(3, 0.0, None, 1.0, "poco rit.")))
    assert [(p.first, p.last, p.kind) for p in stretches(form(marked))] == [
        (0, 2, "steady"), (3, 6, "slowing"), (7, 11, "steady"),
    ]  # fmt: skip


def test_an_opening_slower_than_the_rest_is_told():
    result = document(score(), Player(pace=lambda bar: 0.87 if bar < 4 else 1.0))
    assert result["tempo"]["opening_bpm"] == pytest.approx(83.5, abs=1.5)
    assert [f["bars"] for f in result["findings"] if f["kind"] in ("opening", "tempo_stretch")] == ["1-4"]


def figures(lengths: tuple[float, ...]) -> object:
    """Twelve bars of 4/4 filled with these lengths, pitches from the made tune."""
    printed = score()
    pitches = [n.midi for n in printed.notes]
    notes = []
    for bar in ALL:
        start = 0.0
        for i, length in enumerate(lengths):
            midi = pitches[(7 * bar + i) % len(pitches)]
            if notes and notes[-1].midi == midi:
                midi += 2
            notes.append(replace(printed.notes[0], note_id=f"m{bar}n{i}", measure_index=bar,
                                 start_q=start, duration_q=length, midi=midi))  # fmt: skip
            start += length
    return replace(printed, notes=tuple(notes))


def played_as(printed, lengths: tuple[float, ...]) -> dict:
    """The figures sounded with these lengths in place of the printed ones, at 72."""
    as_played = figures(lengths)
    pitched = tuple(replace(n, midi=m.midi) for n, m in zip(as_played.notes, printed.notes, strict=True))
    sounded = Player(bpm=72).play(replace(as_played, notes=pitched), ALL)
    return analyse(audio(render(sounded)), form(printed), settings(72)).to_json()


DOTTED = (0.75, 0.25) * 4
TRIPLETS = (1 / 3,) * 12
LONG_SHORT = (2 / 3, 1 / 3) * 4


@pytest.mark.parametrize("lengths", [DOTTED, TRIPLETS, LONG_SHORT, (0.25, 0.75) * 4])
def test_figures_as_printed_are_no_fault(lengths):
    result = played_as(figures(lengths), lengths)
    assert not [f for f in result["findings"] if not f["strength"]]


@pytest.mark.parametrize(
    ("printed", "played", "told"),
    [
        (DOTTED, (0.66, 0.34) * 4, "softens towards a triplet"),
        (LONG_SHORT, (0.55, 0.45) * 4, "nearly even"),
        (LONG_SHORT, (0.76, 0.24) * 4, "as if dotted"),
        (TRIPLETS, (0.45, 0.275, 0.275) * 4, "first is the longest"),
    ],
)
def test_figures_out_of_their_ratio_are_told(printed, played, told):
    result = played_as(figures(printed), played)
    texts = [words(f["text"]) for f in result["findings"]]
    assert any(told in text for text in texts), texts


def with_levels(gains: dict[int, float]) -> dict:
    printed = replace(score(), dynamics=(Dynamic(0, 0, "f"), Dynamic(4, 0, "p"), Dynamic(8, 0, "f")))
    sounded = [
        replace(n, gain=gains[int(n.note_id[1:].split("n")[0]) // 4]) for n in Player().play(printed, ALL)
    ]
    return analyse(audio(render(sounded)), form(printed), settings()).to_json()


def test_printed_levels_that_are_heard_are_no_fault():
    result = with_levels({0: 1.0, 1: 0.4, 2: 1.0})
    assert [x["relative_db"] for x in result["dynamics"]["levels"]] == pytest.approx(
        [2.7, -5.3, 2.7], abs=0.5
    )
    assert not texts(result, "levels")


def test_printed_levels_that_are_not_heard_are_told():
    result = with_levels({0: 1.0, 1: 1.0, 2: 1.0})
    assert any("From the f in bar 1 to the p in bar 5" in text for text in texts(result, "levels"))


@pytest.mark.parametrize(("gain", "reported"), [(1.6, False), (1.0, True)])
def test_accents_are_told_where_they_do_not_stand_out(gain, reported):
    plain = score()
    accented = {f"m{bar}n{i}" for bar in (1, 3, 5, 7) for i in (0, 4)}
    printed = replace(plain, notes=tuple(_accent(n, accented) for n in plain.notes))
    sounded = [replace(n, gain=gain if n.note_id in accented else 1.0) for n in Player().play(printed, ALL)]
    result = analyse(audio(render(sounded)), form(printed), settings()).to_json()
    assert bool(texts(result, "accents")) is reported


def _accent(note: Note, accented: set[str]) -> Note:
    return replace(note, accent=note.note_id in accented)


@pytest.mark.parametrize(
    ("levels_dbfs", "expected_lu"), [((-20, -30), 10), ((-20, -15), 5), ((-40, -20), 20),
                                     ((-50, -35, -20, -35, -50), 15)]
)  # fmt: skip
def test_loudness_range_of_the_ebu_signals(levels_dbfs, expected_lu):
    """EBU Tech 3342, signals 1 to 4: stereo sines of 1 kHz, 20 s a level; here one channel counted twice."""
    time = np.arange(20 * RATE) / RATE
    sine = np.sin(2 * np.pi * 1000 * time)
    sound = np.concatenate([10 ** (level / 20) * sine for level in levels_dbfs])
    powers = 2 * loudness.weighted_power(sound, sample_rate=RATE)
    assert loudness.range_lu(powers) == pytest.approx(expected_lu, abs=1.0)
