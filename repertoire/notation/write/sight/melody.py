"""The notes of an exercise: a line on the scale, from a note of the tonic chord to the tonic.

A place counts steps of the scale from a tonic at 0. Which notes may follow which is decided before any is
chosen, so that every line reaches its end. Intervals are those a player reads at sight: perfect, major and
minor, no augmented or diminished ones. Common practice, no published source.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from repertoire.notation.pitches import LETTERS, WrittenPitch, fifths_of, key_alter, spelled_at
from repertoire.notation.score import MINOR_ABOVE
from repertoire.notation.write.sight.chance import Chance
from repertoire.notation.write.sight.levels import Level

SEMITONES_OF = {0: (0,), 1: (1, 2), 2: (3, 4), 3: (5,), 4: (7,), 5: (8, 9), 6: (10, 11), 7: (12,)}
LEAP = 3  # steps: from a fourth on the line turns back
TRIAD = (0, 2, 4)
DOMINANT = (4, 6, 1)
HALF_CLOSE = (1, 4, 6)
INTO_THE_END = (-1, 1)
TURNS_BACK = 6.0
LEAPS_INTO_CHORD = 3.0
STAYS = 0.5
LEAPS_WHEN_QUICK = 0.3
HALF_A_TONE = 1
# What is usual beside a key, on the line of fifths from its signature: E flat to G sharp in C major.
USUAL_BESIDE = range(-3, 9)


@dataclass(frozen=True, slots=True)
class Ground:
    """The tones the line may take: written pitches by place, and their key."""

    tones: dict[int, WrittenPitch]
    fifths: int
    is_minor: bool

    def is_singable(self, first: int, second: int) -> bool:
        """Whether the interval is perfect, major or minor."""
        return is_plain(self.tones[first], self.tones[second])


def is_plain(first: WrittenPitch, second: WrittenPitch) -> bool:
    """Whether two written notes stand a perfect, major or minor interval apart, an octave at most."""
    return abs(second.midi - first.midi) in SEMITONES_OF.get(abs(second.staff_step - first.staff_step), ())


def ground_of(*, fifths: int, mode: str, low: int, high: int, window: int, chance: Chance) -> Ground:
    """Tones of the key between two written MIDI numbers, `window` steps of them with a tonic among them."""
    letter, _alter = spelled_at(fifths + (MINOR_ABOVE if mode == "minor" else 0))
    every = [
        WrittenPitch(name, key_alter(name, fifths), octave) for octave in range(-1, 10) for name in LETTERS
    ]
    within = [tone for tone in every if low <= tone.midi <= high]
    size = min(window + 1, len(within))
    starts = [
        start
        for start in range(len(within) - size + 1)
        if any(tone.letter == letter for tone in within[start : start + size])
    ]
    first = chance.one_of(starts)
    chosen = within[first : first + size]
    tonics = [place for place, tone in enumerate(chosen) if tone.letter == letter]
    home = tonics[len(tonics) // 2] if len(tonics) > 1 else tonics[0]
    return Ground({place - home: tone for place, tone in enumerate(chosen)}, fifths, mode == "minor")


def line_of(quick: Sequence[bool], middle: int, ground: Ground, level: Level, chance: Chance) -> list[int]:
    """Places of as many notes as `quick` tells, of each whether it is soon over: there the line rather steps.

    Note `middle` is a half close, the last the tonic, reached by step.
    """
    count = len(quick)
    reachable = _reachable(count, middle, ground, level)
    starts = sorted(place for place in reachable[0] if place % 7 in TRIAD)
    line = [chance.one_of(starts or sorted(reachable[0]))]
    for index in range(1, count):
        here = line[-1]
        leapt = here - line[-2] if index > 1 else 0
        choices = sorted(place for place in reachable[index] if _may_follow(here, place, ground, level))
        weights = [_weight(here, place, leapt, level, quick[index - 1]) for place in choices]
        line.append(chance.one_of(choices, weights))
    return line


def _reachable(count: int, middle: int, ground: Ground, level: Level) -> list[set[int]]:
    """For each note the places from which the end can be reached."""
    sets: list[set[int]] = [set() for _ in range(count)]
    sets[-1] = {place for place in ground.tones if place % 7 == 0}
    for index in range(count - 2, -1, -1):
        allowed = {
            place
            for place in ground.tones
            if any(_may_follow(place, after, ground, level) for after in sets[index + 1])
        }
        if index == count - 2:
            ends = sets[-1]
            allowed &= {end + step for end in ends for step in INTO_THE_END}
        if index == middle:
            allowed = {place for place in allowed if place % 7 in HALF_CLOSE} or allowed
        sets[index] = allowed
    return sets


def _may_follow(first: int, second: int, ground: Ground, level: Level) -> bool:
    return abs(second - first) in level.steps and ground.is_singable(first, second)


def _weight(here: int, place: int, leapt: int, level: Level, is_quick: bool) -> float:
    step = place - here
    weight = level.steps[abs(step)]
    if abs(leapt) >= LEAP:
        weight *= TURNS_BACK if step * leapt < 0 and abs(step) <= 2 else 1.0
    if abs(step) >= 2 and (place % 7 in TRIAD or (place % 7 in DOMINANT and here % 7 in DOMINANT)):
        weight *= LEAPS_INTO_CHORD
    if is_quick and abs(step) >= 2:
        weight *= LEAPS_WHEN_QUICK
    return weight * STAYS if step == 0 else weight


def pitches_of(line: list[int], ground: Ground, level: Level, chance: Chance) -> list[WrittenPitch]:
    """The written pitches, with the leading note of a minor key and some notes altered beside the key."""
    tones = [ground.tones[place] for place in line]
    if ground.is_minor and level.raised:
        _raise_leading_notes(line, tones)
    for _ in range(level.chromatic):
        places = [
            index for index in range(1, len(tones) - 1) if _altered(tones, index, ground.fifths) is not None
        ]
        if places:
            index = chance.one_of(places)
            tones[index] = _altered(tones, index, ground.fifths) or tones[index]
    return tones


def _raise_leading_notes(line: list[int], tones: list[WrittenPitch]) -> None:
    """The seventh is raised where it leads into the tonic, and the sixth before it with it."""
    for index in range(1, len(line) - 1):
        if line[index] % 7 != 6 or line[index + 1] != line[index] + 1:
            continue
        raised = _moved(tones[index], 1)
        before = tones[index - 1]
        if not is_plain(before, raised) and line[index - 1] % 7 == 5:
            before = _moved(before, 1)
            if index > 1 and not is_plain(tones[index - 2], before):
                continue
        if abs(raised.alter) <= HALF_A_TONE and abs(before.alter) <= HALF_A_TONE and is_plain(before, raised):
            tones[index - 1], tones[index] = before, raised


def _altered(tones: list[WrittenPitch], index: int, fifths: int) -> WrittenPitch | None:
    """The note leaning a semitone towards the next, a step away; None where that is no plain interval."""
    before, tone, after = tones[index - 1 : index + 2]
    step = after.staff_step - tone.staff_step
    if abs(step) != 1 or abs(after.midi - tone.midi) != 2:
        return None
    moved = _moved(tone, step)
    usual = fifths_of(moved.letter, moved.alter) - fifths in USUAL_BESIDE
    return moved if usual and abs(moved.alter) <= HALF_A_TONE and is_plain(before, moved) else None


def _moved(tone: WrittenPitch, semitones: int) -> WrittenPitch:
    return WrittenPitch(tone.letter, tone.alter + semitones, tone.octave)
