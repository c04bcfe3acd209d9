"""The cross-check of the order of play, in a process of its own with limits.

A few bars with many repeats can keep the second reader busy for minutes, so it never runs in a web process.
`main` is the inside of that process: MusicXML on stdin, JSON on stdout.
"""

import json
import sys
from dataclasses import asdict

from repertoire.notation import messages
from repertoire.notation.bounded import Ending, ProcessLimits, run
from repertoire.notation.order.forms import describe, order_of_play, play
from repertoire.notation.read.reading import CanonicalScore
from repertoire.notation.sentence import Sentence, from_json

TIMEOUT_S = 20.0
MEMORY_MB = 1500


def order_question(canonical: CanonicalScore, *, timeout_s: float = TIMEOUT_S) -> Sentence | None:
    """What to ask the director about the order of play; None where two readings agree."""
    limits = ProcessLimits(time_s=timeout_s, memory_mb=MEMORY_MB)
    ended = run("repertoire.library.order_check", data=canonical.musicxml.encode(), limits=limits)
    if ended.how is Ending.FINISHED:
        question = json.loads(ended.output)["question"]
        return question and from_json(question)
    # Whatever stopped the second reading, the first stands and a person confirms it.
    return messages.ORDER_OTHER_FAILED(order=describe(play(canonical.score)))


def main(_arguments: list[str]) -> None:
    order = order_of_play(sys.stdin.buffer.read().decode())
    sys.stdout.write(json.dumps({"question": None if order.agreed else asdict(order.note)}))
