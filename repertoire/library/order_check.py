"""The cross-check of the order of play, in a child with a time and a memory limit.

A few bars with many repeats can keep the second reader busy for minutes, so it never runs in a web process.
`python -m repertoire.library.order_check MEMORY_MB` is the child: MusicXML on stdin, JSON on stdout.
"""

import json
import subprocess
import sys
from pathlib import Path

from repertoire.notation import messages
from repertoire.notation.order.forms import describe, order_of_play, play
from repertoire.notation.read.child import limit_memory
from repertoire.notation.read.reading import CanonicalScore

TIMEOUT_S = 20.0
MEMORY_MB = 1500
PROJECT_ROOT = Path(__file__).resolve().parents[2]


def order_question(canonical: CanonicalScore, *, timeout_s: float = TIMEOUT_S) -> str:
    """What to ask the director about the order of play; empty where two readings agree."""
    command = [sys.executable, "-m", "repertoire.library.order_check", str(MEMORY_MB)]
    try:
        done = subprocess.run(
            command,
            input=canonical.musicxml.encode(),
            capture_output=True,
            timeout=timeout_s,
            cwd=PROJECT_ROOT,
            check=True,
        )
        return json.loads(done.stdout)["question"]
    except (subprocess.TimeoutExpired, subprocess.CalledProcessError):
        # Whatever stopped the second reading, the first stands and a person confirms it.
        return messages.ORDER_OTHER_FAILED.format(order=describe(play(canonical.score)))


def main(memory_mb: int) -> None:
    limit_memory(memory_mb)
    order = order_of_play(sys.stdin.buffer.read().decode())
    sys.stdout.write(json.dumps({"question": "" if order.agreed else order.note}))


if __name__ == "__main__":
    main(int(sys.argv[1]))
