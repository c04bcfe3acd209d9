"""python -m tests.accuracy.hostile [--each 10] [--kind NAME] [--child]: a table of verdicts by kind.

Each take is measured in a worker process that is ended when a take lasts longer than the limit.
"""

import argparse
import sys
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool

from .kinds import KINDS, Kind
from .running import Verdict, plan, run

LIMIT_S = 60.0


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy.hostile", description=__doc__)
    parser.add_argument("--each", type=int, default=10, help="takes of each kind")
    parser.add_argument("--kind", help="one kind only")
    parser.add_argument(
        "--child", action="store_true", help="each in a bounded child process, as the workers do"
    )
    options = parser.parse_args()
    chosen = [(k, seed) for k, seed in plan(options.each) if options.kind in (None, k.name)]
    verdicts = list(_verdicts(chosen, child=options.child))
    _print(verdicts)
    return 1 if any(v.troubles for v in verdicts) else 0


def _verdicts(chosen: list[tuple[Kind, int]], *, child: bool) -> Iterator[Verdict]:
    pool = ProcessPoolExecutor(1)
    for kind, seed in chosen:
        try:
            yield pool.submit(_run, kind.name, seed, child).result(timeout=LIMIT_S)
        except (TimeoutError, BrokenProcessPool) as error:
            ended = "hang" if isinstance(error, TimeoutError) else "the process died"
            for process in list(getattr(pool, "_processes", None) or {}):
                pool._processes[process].kill()
            pool = ProcessPoolExecutor(1)
            yield Verdict(kind.name, seed, ended, "", LIMIT_S, (ended,))
    pool.shutdown()


def _run(name: str, seed: int, child: bool) -> Verdict:
    return run(KINDS[name], seed, child=child)


def _print(verdicts: list[Verdict]) -> None:
    print("| kind | takes | refused | not this piece | the piece | slowest s | troubles |")
    print("|---|---|---|---|---|---|---|")
    for name in dict.fromkeys(v.kind for v in verdicts):
        own = [v for v in verdicts if v.kind == name]
        wording = Counter(v.wording for v in own)
        slowest = max(v.seconds for v in own)
        bad = sum(bool(v.troubles) for v in own)
        print(
            f"| {name} | {len(own)} | {wording['refused']} | {wording['other']} | {wording['piece']} | "
            f"{slowest:.1f} | {bad or ''} |"
        )
    print(f"\n{len(verdicts)} takes, {sum(bool(v.troubles) for v in verdicts)} with troubles:")
    for verdict in verdicts:
        for trouble in verdict.troubles:
            print(f"- {verdict.kind} {verdict.seed}: {trouble}")


if __name__ == "__main__":
    sys.exit(main())
