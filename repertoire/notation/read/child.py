"""The inside of the score reader's process: a score on stdin, one JSON object on stdout.

`main([WANTED])` runs `read_score` with the keyword arguments in the JSON object WANTED, so that a hostile
file can end only this process. It answers with "musicxml", "score" and "remarks", with "choices", or with
"bad_score", a sentence.
"""

import json
import sys
from dataclasses import asdict

from repertoire.notation import messages
from repertoire.notation.read.parts import SeveralParts
from repertoire.notation.read.reading import read_score
from repertoire.notation.read.score_json import to_json
from repertoire.notation.score import BadScore


def main(arguments: list[str]) -> None:
    """Read a score from stdin and answer on stdout; `arguments` hold one JSON object."""
    answer: dict[str, object]
    try:
        read = read_score(sys.stdin.buffer.read(), **json.loads(arguments[0]))
        answer = {
            "musicxml": read.musicxml,
            "score": to_json(read.score),
            "remarks": list(map(asdict, read.remarks)),
        }
    except SeveralParts as several:
        answer = {"choices": [asdict(choice) for choice in several.choices]}
    except BadScore as error:
        answer = {"bad_score": asdict(error.sentence)}
    except RecursionError:
        answer = {"bad_score": asdict(messages.TOO_HEAVY())}
    sys.stdout.write(json.dumps(answer))
