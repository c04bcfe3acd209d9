"""`python -m tests.speed`: processor time of what a person waits for, beside what the project promises.

Processor time counts, and of several runs the median: on a computer that does nothing else it is what a
person waits; on a busy one the clock would measure the rest. Ends with 1 where a promise is broken.
"""

import os
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from statistics import median
from time import process_time

import django

RUNS = 7


@dataclass(frozen=True)
class Promise:
    """What is done, and the milliseconds of processor time it may take."""

    what: str
    run: Callable[[], object]
    limit_ms: float


def median_ms(run: Callable[[], object]) -> float:
    run()
    taken = []
    for _ in range(RUNS):
        began = process_time()
        run()
        taken.append((process_time() - began) * 1000)
    return median(taken)


def measured(promises: Iterator[Promise]) -> bool:
    """Print a line for each; whether all were kept."""
    kept = True
    for promise in promises:
        taken = median_ms(promise.run)
        broken = taken > promise.limit_ms
        kept = kept and not broken
        print(f"{taken:8.0f} ms of {promise.limit_ms:5.0f}  {promise.what}{'  BROKEN' if broken else ''}")
    return kept


def main() -> int:
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"DATA_DIR": folder, "DJANGO_SETTINGS_MODULE": "studio.setup.settings"}
        for variable in ("DATABASE_URL", "MEDIA_DIR", "S3_BUCKET"):
            os.environ.pop(variable, None)
        django.setup()
        from tests.speed.promises import promises

        return 0 if measured(promises()) else 1


if __name__ == "__main__":
    sys.exit(main())
