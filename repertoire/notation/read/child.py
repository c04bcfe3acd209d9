"""`python -m repertoire.notation.read.child MEMORY_MB WANTED`: a score on stdin, JSON on stdout.

Runs `read_score` under an address-space limit, so that a hostile file can end only this process.
"""

import json
import sys
from dataclasses import asdict

from repertoire.notation.read.parts import SeveralParts
from repertoire.notation.read.reading import MEGABYTE, OUT_OF_MEMORY_EXIT, read_score
from repertoire.notation.score import BadScore

try:
    import resource
except ImportError:  # not on Windows, where only the time limit holds
    resource = None  # type: ignore[assignment]


def limit_memory(memory_mb: int) -> None:
    if resource is None:
        return
    try:
        resource.setrlimit(resource.RLIMIT_AS, (memory_mb * MEGABYTE, memory_mb * MEGABYTE))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    except (ValueError, OSError):
        return  # some systems (macOS) refuse an address-space limit; the time limit still holds


def main(arguments: list[str]) -> int:
    memory_mb, wanted = int(arguments[0]), json.loads(arguments[1])
    limit_memory(memory_mb)
    answer: dict[str, object]
    try:
        read = read_score(sys.stdin.buffer.read(), **wanted)
        answer = {"musicxml": read.musicxml, "remarks": read.remarks}
    except SeveralParts as several:
        answer = {"choices": [asdict(choice) for choice in several.choices]}
    except BadScore as error:
        answer = {"bad_score": str(error)}
    except (MemoryError, RecursionError):
        return OUT_OF_MEMORY_EXIT
    sys.stdout.write(json.dumps(answer))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
