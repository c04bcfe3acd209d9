"""What a sight-reading exercise must keep to, read from its MusicXML by means of its own."""

from fractions import Fraction
from itertools import pairwise
from xml.etree.ElementTree import Element

from repertoire.notation.write.sight.exercise import ExerciseSpec, exercise_tree

SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
SHARPS, FLATS = "FCGDAEB", "BEADGCF"
PLAIN = {0: {0}, 1: {1, 2}, 2: {3, 4}, 3: {5}, 4: {7}, 5: {8, 9}, 6: {10, 11}, 7: {12}}
ALTERED = {1: 0, 2: 0, 3: 1, 4: 2, 5: 3}  # at each level, beside the leading note of a minor key
SHORTEST = {1: Fraction(1, 2), 2: Fraction(1, 2), 3: Fraction(1, 4), 4: Fraction(1, 4), 5: Fraction(1, 4)}
TONIC = {"major": 0, "minor": 9}  # semitones above the C of the signature's major key

Music = tuple[tuple[str, Fraction, str], ...]


def check(spec: ExerciseSpec, seed: int) -> Music:
    """Fails by an assertion where a limit is broken; the music itself, to be compared with others."""
    root = exercise_tree(spec, seed, title="")
    divisions = int(root.findtext(".//divisions"))
    bar_q = Fraction(4 * spec.metre.beats, spec.metre.beat_type)
    for measure in root.iter("measure"):
        durations = [Fraction(int(note.findtext("duration")), divisions) for note in measure.iter("note")]
        assert sum(durations) == bar_q, f"bar {measure.get('number')} lasts {sum(durations)}"
    assert root.findtext(".//fifths") == str(spec.fifths)
    assert root.findtext(".//beats") == str(spec.metre.beats)
    struck = [note for note in root.iter("note") if note.find("pitch") is not None]
    pitches = [_pitch(note) for note in struck]
    assert all(spec.low <= midi <= spec.high for _letter, _alter, midi, _step in pitches)
    new = [pitch for note, pitch in zip(struck, pitches, strict=True) if _is_struck(note)]
    _check_key(spec, new)
    for (_l, _a, first, low), (_m, _b, second, high) in pairwise(new):
        assert abs(second - first) in PLAIN[abs(high - low)], "an interval that is not plain"
    shortest = min(
        Fraction(int(n.findtext("duration")), divisions)
        for n in struck
        if n.find("time-modification") is None
    )
    assert shortest >= SHORTEST[spec.level]
    assert spec.level == 5 or root.find(".//time-modification") is None
    return tuple(
        (measure.get("number"), Fraction(int(note.findtext("duration")), divisions), _name(note))
        for measure in root.iter("measure")
        for note in measure.iter("note")
    )


def _check_key(spec: ExerciseSpec, pitches: list[tuple[str, int, int, int]]) -> None:
    signs = set(SHARPS[: spec.fifths]) if spec.fifths > 0 else set(FLATS[: -spec.fifths])
    sign = 1 if spec.fifths > 0 else -1
    tonic = (spec.fifths * 7 + TONIC[spec.mode]) % 12
    assert pitches[-1][2] % 12 == tonic, "it does not end on the tonic"
    beside = [midi for letter, alter, midi, _step in pitches if alter != (sign if letter in signs else 0)]
    assert all(abs(alter) <= 1 for _letter, alter, _midi, _step in pitches)
    if spec.mode == "minor" and spec.level > 1:
        beside = [midi for midi in beside if (midi - tonic) % 12 not in (9, 11)]
    assert len(beside) <= ALTERED[spec.level], f"{len(beside)} notes beside the key"


def _is_struck(note: Element) -> bool:
    return not any(tie.get("type") == "stop" for tie in note.iter("tie"))


def _pitch(note: Element) -> tuple[str, int, int, int]:
    letter, octave = note.findtext("pitch/step"), int(note.findtext("pitch/octave"))
    alter = int(note.findtext("pitch/alter") or 0)
    step = 7 * octave + "CDEFGAB".index(letter)
    return letter, alter, 12 * (octave + 1) + SEMITONES[letter] + alter, step


def _name(note: Element) -> str:
    if note.find("pitch") is None:
        return "rest"
    letter, alter, midi, _step = _pitch(note)
    return f"{letter}{alter}{midi}"
