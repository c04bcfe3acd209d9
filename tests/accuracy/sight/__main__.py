"""`python -m tests.accuracy.sight`: 500 sight-reading exercises held to their limits, 100 of them sounded."""

import sys
from collections import Counter

from tests.accuracy.bench import synth
from tests.accuracy.sight.sounded import PLAYERS, Samples, Sounded, exercise_of, sound, spec_of
from tests.repertoire.notation.sight_limits import check

LEVELS = range(1, 6)
WRITTEN_EACH, SOUNDED_EACH = 10, 2  # of each instrument and level


def main() -> int:
    music = Counter()
    for number, (instrument, level) in enumerate((name, level) for name in PLAYERS for level in LEVELS):
        for seed in range(1000 * number, 1000 * number + WRITTEN_EACH):
            music[check(spec_of(instrument, level, seed), seed)] += 1
    print(f"{sum(music.values())} exercises, {len(music)} different, all legal in range, metre and key")
    if synth.missing():
        print(synth.missing())
        return 0
    samples, by_level, by_player = Samples(), {}, {}
    for instrument in PLAYERS:
        for level in LEVELS:
            for seed in range(level * 10, level * 10 + SOUNDED_EACH):
                heard = sound(instrument, exercise_of(instrument, level, seed), seed=seed, samples=samples)
                by_level.setdefault(level, []).append(heard)
                by_player.setdefault(instrument, []).append(heard)
    for name, some in {**by_player, **{f"level {level}": some for level, some in by_level.items()}}.items():
        _line(name, some)
    _line("all", [one for some in by_level.values() for one in some])
    return 0


def _line(name: str, some: list[Sounded]) -> None:
    notes = sum(one.notes for one in some)
    told, placed, wrong = (sum(getattr(one, part) for one in some) for part in ("told", "placed", "wrong"))
    print(f"{name:16} {notes:5} notes  told {told / notes:7.2%}  placed {placed / notes:7.2%}  wrong {wrong}")


if __name__ == "__main__":
    sys.exit(main())
