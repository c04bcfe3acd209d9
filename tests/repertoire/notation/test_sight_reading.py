"""Exercises to be read at sight: legal in range, metre and key, none twice, the same for everyone."""

from collections import Counter

import pytest

from repertoire.notation.instruments import INSTRUMENTS
from repertoire.notation.read.reading import load_canonical, read_score
from repertoire.notation.write.scales import ScaleSpec, scale_sheet
from repertoire.notation.write.sight.exercise import ExerciseSpec, write_exercise
from repertoire.notation.write.sight.levels import LEVELS
from repertoire.notation.write.sight.look import to_look_at
from repertoire.notation.write.sight.material import material_of, spec_of
from repertoire.notation.write.sight.rhythm import Metre
from tests.accuracy.sight.sounded import METRES, PLAYERS
from tests.accuracy.sight.sounded import spec_of as spec_for
from tests.repertoire.notation.sight_limits import check

EACH = 10  # of every instrument and level: 500 in all


def test_five_hundred_exercises_keep_their_limits_and_none_comes_twice():
    music = Counter()
    for number, (instrument, level) in enumerate((name, level) for name in PLAYERS for level in LEVELS):
        for seed in range(1000 * number, 1000 * number + EACH):
            music[check(spec_for(instrument, level, seed), seed)] += 1
    assert sum(music.values()) == len(PLAYERS) * len(LEVELS) * EACH == 500
    assert len(music) == 500, [count for count in music.values() if count > 1]


@pytest.mark.parametrize("metre", METRES, ids=lambda metre: f"{metre.beats}-{metre.beat_type}")
def test_what_is_written_is_what_is_read(metre):
    spec = ExerciseSpec(INSTRUMENTS["horn_f"], 5, -2, "minor", metre, 55, 77)
    exercise = write_exercise(spec, 7)
    score = exercise.canonical.score
    assert score == load_canonical(exercise.canonical.musicxml)
    assert [measure.length_q for measure in score.measures] == [float(metre.bar_q)] * len(score.measures)
    assert score.transposition == -7
    assert score.first_metronome_mark.bpm == exercise.bpm


def test_the_same_seed_is_the_same_music_for_everybody_and_another_seed_is_other_music():
    spec = spec_for("violin", 3, 1)
    first, again, other = (write_exercise(spec, seed).canonical.musicxml for seed in (11, 11, 12))
    assert first == again != other


def test_an_exercise_takes_key_metre_and_range_from_the_music_that_is_learnt():
    violin = INSTRUMENTS["violin"]
    sheet = scale_sheet(ScaleSpec("E", "harmonic_minor", 2, False, "quarter", 0, violin))
    material = material_of(sheet.score, set(range(len(sheet.score.measures))), violin)
    assert material.keys == ((1, "minor"),)
    assert material.metres == (Metre(4, 4),)
    assert (material.low, material.high) == (64, 88)
    spec = spec_of(material, violin, 2, 5)
    check(spec, 5)


def test_music_of_few_notes_gives_an_octave_inside_the_instrument():
    flute = INSTRUMENTS["flute"]
    sheet = (
        b'<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>x</part-name></score-part>'
        b'</part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions><key><fifths>0'
        b"</fifths></key><time><beats>5</beats><beat-type>4</beat-type></time></attributes><note><pitch><step>C"
        b"</step><octave>7</octave></pitch><duration>5</duration><voice>1</voice></note></measure></part>"
        b"</score-partwise>"
    )
    material = material_of(read_score(sheet).score, {0}, flute)
    assert (material.low, material.high) == (84, 96)
    assert material.metres == (Metre(4, 4),)


def test_what_to_look_at_names_key_rhythm_leap_and_strange_signs():
    spec = ExerciseSpec(INSTRUMENTS["violin"], 5, 2, "major", Metre(4, 4), 55, 86)
    seen = Counter()
    for seed in range(12):
        seen.update(sentence.code for sentence in to_look_at(write_exercise(spec, seed).canonical.score))
    assert seen["score.sight_signs"] == seen["score.sight_end"] == 12
    assert {"score.sight_quickest", "score.sight_leap", "score.sight_altered", "score.sight_tie"} <= set(seen)
    assert {"score.sight_rest", "score.sight_off_beat"} <= set(seen)
