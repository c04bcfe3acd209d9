"""A sight-reading exercise: a short line in one key, metre and range, always the same for one seed."""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from xml.etree.ElementTree import Element, SubElement

from repertoire.notation import messages
from repertoire.notation.instruments import Instrument
from repertoire.notation.pitches import WrittenPitch
from repertoire.notation.read.reading import CanonicalScore, read_score
from repertoire.notation.sentence import Sentence
from repertoire.notation.write.bar import Alters, Placed, Rest, write_attributes, write_bar, write_tempo
from repertoire.notation.write.sight.chance import Chance
from repertoire.notation.write.sight.levels import LEVELS
from repertoire.notation.write.sight.melody import ground_of, line_of, pitches_of
from repertoire.notation.write.sight.rhythm import Metre, Slot, count_of_bars, rhythm_of
from repertoire.notation.xml import to_text

QUICK_Q = Fraction(1, 2)
DIVISIONS = 12  # of a quarter: sixteenths and triplets are whole


@dataclass(frozen=True, slots=True)
class ExerciseSpec:
    """What an exercise is to keep to; `low` and `high` are MIDI numbers as the player reads them."""

    instrument: Instrument
    level: int  # a key of LEVELS
    fifths: int
    mode: str  # "major" or "minor"
    metre: Metre
    low: int
    high: int


@dataclass(frozen=True, slots=True)
class Exercise:
    """The music and its tempo in beats of `beat_unit_q` quarters a minute."""

    canonical: CanonicalScore
    bpm: int
    beat_unit_q: float


def write_exercise(spec: ExerciseSpec, seed: int, *, title: Callable[[Sentence], str] = str) -> Exercise:
    """Write the exercise of this seed; raises `ValueError` where the range holds no tonic."""
    tree = exercise_tree(spec, seed, title=title(messages.SIGHT_TITLE(level=spec.level)))
    return Exercise(read_score(to_text(tree).encode()), bpm_of(spec), float(spec.metre.beat_q))


def bpm_of(spec: ExerciseSpec) -> int:
    """The tempo of a level, in beats of its metre a minute."""
    level = LEVELS[spec.level]
    by_beat = {Fraction(3, 2): level.compound_bpm, Fraction(2): level.half_bpm}
    return by_beat.get(spec.metre.beat_q, level.bpm)


def exercise_tree(spec: ExerciseSpec, seed: int, *, title: str) -> Element:
    """The same as a MusicXML tree that nobody has read yet."""
    level, chance = LEVELS[spec.level], Chance(seed)
    slots = rhythm_of(spec.metre, level, chance)
    ground = ground_of(
        fifths=spec.fifths, mode=spec.mode, low=spec.low, high=spec.high, window=level.window, chance=chance
    )
    struck = [slot for slot in slots if not slot.is_rest and not slot.tied]
    half_close = count_of_bars(spec.metre, level) // 2 - 1
    middle = max(index for index, slot in enumerate(struck) if slot.bar <= half_close)
    quick = [bool(slot.length_q < QUICK_Q) for slot in struck]
    line = line_of(quick, middle, ground, level, chance)
    return _tree(spec, title, _bars(slots, pitches_of(line, ground, level, chance)))


def _bars(slots: list[Slot], tones: list[WrittenPitch]) -> list[list[Placed | Rest]]:
    left = iter(tones)
    bars: list[list[Placed | Rest]] = []
    sounding: WrittenPitch | None = None
    held = [*(slot.tied for slot in slots[1:]), False]
    for _bar, group in groupby(zip(slots, held, strict=True), key=lambda pair: pair[0].bar):
        bars.append([])
        for slot, goes_on in group:
            if slot.is_rest:
                bars[-1].append(Rest(slot.start_q, slot.length_q))
                continue
            sounding = sounding if slot.tied and sounding else next(left)
            tie = "start" if goes_on else "stop" if slot.tied else ""
            bars[-1].append(Placed(sounding, slot.start_q, slot.length_q, "", tie=tie))
    return bars


def _tree(spec: ExerciseSpec, title: str, bars: list[list[Placed | Rest]]) -> Element:
    root = Element("score-partwise", {"version": "4.0"})
    SubElement(root, "movement-title").text = title
    listed = SubElement(SubElement(root, "part-list"), "score-part", {"id": "P1"})
    SubElement(listed, "part-name").text = spec.instrument.name
    part = SubElement(root, "part", {"id": "P1"})
    meter = (spec.metre.beats, spec.metre.beat_type)
    before: Alters = {}
    for number, bar in enumerate(bars, 1):
        measure = SubElement(part, "measure", {"number": str(number)})
        if number == 1:
            write_attributes(measure, spec.instrument, spec.fifths, spec.mode, meter, DIVISIONS)
            write_tempo(measure, bpm_of(spec), float(spec.metre.beat_q))
        before = write_bar(measure, bar, spec.fifths, before, DIVISIONS, beat_q=spec.metre.beat_q)
    end = SubElement(part[-1], "barline", {"location": "right"})
    SubElement(end, "bar-style").text = "light-heavy"
    return root
