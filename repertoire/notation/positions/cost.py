"""What a fingering costs, in hundredths of a whole number so that sums are exact.

The figures weigh against each other what string teachers weigh: common practice, no published source. A plan
is the cheapest fingering by these figures and no more than that; the teacher's ear and hand decide.
"""

from dataclasses import dataclass

from repertoire.notation.positions.choices import Choice
from repertoire.notation.positions.events import Event
from repertoire.notation.positions.hand import OPEN, THUMB_FROM, Fingerboard

NEVER = 10**9

SHIFT = 200  # moving the hand at all: it can be heard and it can miss
SHIFT_PER_STEP = 20  # and the further, by position (violin, viola) or by semitone (cello, bass)
LEAST_HURRY, MOST_HURRY = 25, 150  # percent of a shift's cost with time to spare, and with none
HURRY_PER_SECOND = 125  # percent less for every second there is to move
PREPARING = 4  # a stopped note gives a quarter of its length to prepare the move; rests and open strings all
SHIFT_UNDER_SLUR = 150  # the bow cannot hide it

CROSSING = 40  # to the next string: the bow arm changes its level
SKIPPED_STRING = 80  # each string leapt over: it may speak
CROSSING_UNDER_SLUR = 60  # a slur sounds most even on one string

STRETCH = 120  # a finger reached out of its frame: tires the hand, and small hands first
SLID_FINGER = 90  # the same finger on two places of a string without a shift: the notes smear
FINGER_ACROSS = 60  # the same finger hops to another string
THUMB_HAND = 40  # a note in thumb position: taken where the neck ends, not before
DULL = 15  # each semitone beyond `BRIGHT` on any string but the first: far up a low string the tone is dull
BRIGHT = 9
HEIGHT = 2  # each step up the neck: of equal fingerings the lower one, where the string rings freely


@dataclass(frozen=True, slots=True)
class Step:
    """Between two events: whether they are slurred, and how dear a shift is after a stopped or open note."""

    slurred: bool
    hurry_stopped: int  # percent
    hurry_open: int


def step_of(before: Event, after: Event) -> Step:
    """The step from one event to the next, which follows it in print."""
    gap_s = max(0.0, after.start_s - before.end_s)
    length_s = max(0.0, min(before.end_s, after.start_s) - before.start_s)
    return Step(
        slurred=before.slurred and gap_s < 1e-6,
        hurry_stopped=_hurry(gap_s + length_s / PREPARING),
        hurry_open=_hurry(gap_s + length_s),
    )


def _hurry(free_s: float) -> int:
    return max(LEAST_HURRY, MOST_HURRY - round(HURRY_PER_SECOND * free_s))


def standing_cost(choice: Choice, board: Fingerboard) -> int:
    """What a choice costs by itself: stretches, and where on the neck it lies."""
    if choice.is_open:
        return 0
    cost = HEIGHT * (board.place(choice.position) - 1) + THUMB_HAND * (choice.position > THUMB_FROM)
    for stop in choice.stops:
        cost += STRETCH * stop.stretched
        cost += DULL * max(0, stop.place - BRIGHT) if stop.string else 0
    return cost


def arrival_cost(before: Choice, after: Choice, step: Step, board: Fingerboard) -> int:
    """What it costs to come from one choice to the next; the hand does not move to an open string."""
    if before.position != after.position and after.is_open:
        return NEVER
    cost = _crossing(before, after, step)
    if before.position != after.position:
        hurry = step.hurry_open if before.is_open else step.hurry_stopped
        travel = board.distance(before.position, after.position)
        cost += (SHIFT + SHIFT_PER_STEP * travel) * hurry // 100
        return cost + (SHIFT_UNDER_SLUR if step.slurred and not before.is_open else 0)
    return cost + _same_finger(before, after)


def _crossing(before: Choice, after: Choice, step: Step) -> int:
    across = min(abs(left - reached) for left in before.strings for reached in after.strings)
    if not across:
        return 0
    return CROSSING + SKIPPED_STRING * (across - 1) + (CROSSING_UNDER_SLUR if step.slurred else 0)


def _same_finger(before: Choice, after: Choice) -> int:
    cost = 0
    for stop in before.stops:
        for other in after.stops:
            if stop.finger == OPEN or stop.finger != other.finger:
                continue
            if stop.string != other.string:
                cost += 0 if stop.place == other.place and len(after.stops) > 1 else FINGER_ACROSS
            elif stop.place != other.place:
                cost += SLID_FINGER
    return cost
