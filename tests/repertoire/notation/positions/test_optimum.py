"""The plan is the cheapest fingering there is: every combination of 200 small random cases is tried."""

import random
from itertools import product

import pytest

from repertoire.notation.positions.boards import FINGERBOARDS
from repertoire.notation.positions.cost import NEVER
from repertoire.notation.positions.events import events_of
from repertoire.notation.positions.plan import Lock, Options, offers, plan, total_cost

from .lines import read

pytestmark = pytest.mark.slow

CASES = 200
MOST_COMBINATIONS = 8_000
NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


def name_of(pitch: int) -> str:
    return f"{NAMES[pitch % 12]}{pitch // 12 - 1}"


def random_line(dice: random.Random, instrument: str) -> str:
    board = FINGERBOARDS[instrument]
    pitch = dice.randint(min(board.strings), max(board.strings) + 12)
    words = []
    for _ in range(dice.randint(2, 5)):
        pitch += dice.choice((-7, -5, -4, -3, -2, -1, 1, 2, 3, 4, 5, 7, 12))
        pitch = min(max(pitch, min(board.strings)), max(board.strings) + 19)
        name = name_of(pitch)
        if dice.random() < 0.2:
            name += f"+{name_of(pitch + dice.choice((3, 4, 5, 7, 8, 9)))}"
        words.append(f"{name}/{dice.choice((0.25, 0.5, 1, 2))}")
        if dice.random() < 0.15:
            words.append("r/0.5")
    if dice.random() < 0.4:
        words = ["(", *words, ")"] if not any(word.startswith("r") for word in words) else words
    return " ".join(words)


def random_case(dice: random.Random):
    """A score, its board, options, locks and everything that can be chosen for it."""
    while True:
        instrument = dice.choice(sorted(FINGERBOARDS))
        board = FINGERBOARDS[instrument]
        score = read(random_line(dice, instrument)).score
        options = Options(
            open_strings=dice.random() < 0.6,
            highest=dice.choice((None, board.positions[3], board.positions[6])),
        )
        locks = (
            {dice.choice(score.notes).note_id: Lock(finger=dice.choice((1, 2)))}
            if dice.random() < 0.3
            else {}
        )
        bpm = dice.choice((40.0, 90.0, 160.0))
        events = events_of(score, quarter_bpm=bpm)
        kept, offered, _ = offers(score, events, board, options, locks)
        size = 1
        for here in offered:
            size *= len(here)
        if kept and size <= MOST_COMBINATIONS:
            return score, board, options, locks, bpm, kept, offered


@pytest.mark.parametrize("seed", range(0, CASES, 20))
def test_no_combination_is_cheaper(seed):
    for case in range(seed, seed + 20):
        score, board, options, locks, bpm, kept, offered = random_case(random.Random(case))
        planned = plan(score, board=board, quarter_bpm=bpm, options=options, locks=locks)
        least = min(total_cost(kept, list(chosen), board) for chosen in product(*offered))
        assert planned.cost == least < NEVER, case
        assert total_cost(kept, list(planned.choices), board) == planned.cost, case
