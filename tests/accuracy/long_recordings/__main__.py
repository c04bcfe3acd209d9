"""python -m tests.accuracy.long_recordings [--seeds 101 102] [--minutes 60]: hours searched, as a table.

Seeds under 100 have the players the limits were set with, from 100 on others. Where the two real takes lie
beside the project, an hour with stretches cut out of them is searched as well (--real).
"""

import argparse
import sys

import numpy as np

from tests.accuracy.bench import synth

from . import material, measuring, scoring, talk

HEAD = (
    "| hour | found | bars right | off by one at most | told in talk | in other music | of another piece "
    "| start and end off, median / worst | CPU s per s | peak MB |"
)


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy.long_recordings", description=__doc__)
    parser.add_argument("--seeds", type=int, nargs="*", default=[101, 102, 103])
    parser.add_argument("--minutes", type=float, default=60.0)
    options = parser.parse_args()
    if trouble := synth.missing() or (
        None if talk.can_speak() else "espeak-ng was not found (apt install it)"
    ):
        print(trouble, file=sys.stderr)
        return 2
    print(f"{HEAD}\n{'| --- ' * 10}|")
    results = []
    for seed in options.seeds:
        hour = material.make(seed, minutes=options.minutes)
        results.append(_line(f"seed {seed}", hour))
    print("\n".join(_bands([pair for result in results for pair in result.told_right])))
    return 0


def _line(name: str, hour: material.Hour) -> scoring.Score:
    measured = measuring.measure(hour)
    result = scoring.score(hour, measured.told)
    off = np.abs(result.off_s) if result.off_s else np.zeros(1)
    cells = (
        f"{name}, {measured.sound_s / 60:.0f} min", f"{result.found} of {result.played}",
        result.bars_right, result.bars_near, result.invented_in_talk, result.invented_in_other_music,
        result.invented_in_other_pieces, f"{np.median(off):.2f} / {off.max():.1f} s",
        f"{measured.cpu_s / measured.sound_s:.4f}", f"{measured.peak_mb:.0f}",
    )  # fmt: skip
    print("| " + " | ".join(map(str, cells)) + " |", flush=True)
    for missed in result.missed:
        print(f"missed: {missed}", file=sys.stderr)
    return result


def _bands(told: list[tuple[float, bool]]) -> list[str]:
    lines = ["", "| confidence told | stretches | of a piece played there |", "| --- | --- | --- |"]
    for low, high in ((0.9, 1.01), (0.7, 0.9), (0.0, 0.7)):
        inside = [right for confidence, right in told if low <= confidence < high]
        share = f"{100 * np.mean(inside):.0f} %" if inside else ""
        lines.append(f"| {low:.1f} to {min(high, 1.0):.1f} | {len(inside)} | {share} |")
    return lines


if __name__ == "__main__":
    sys.exit(main())
