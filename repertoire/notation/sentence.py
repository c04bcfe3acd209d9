"""What is said to a person: a code with arguments, which becomes words only where it is shown.

A `SentenceCode` is declared once, with the names of its arguments, and called to make a `Sentence`. Arguments
are numbers, texts that no language changes (printed bar labels, file names), pitches, further sentences, and
tuples of these. As JSON (`dataclasses.asdict`) a sentence is `{"code": ..., "args": {...}}` and a pitch
`{"letter": ..., "alter": ..., "octave": ...}`. The words stand in the `wording` of each room.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Union

Argument = Union[int, float, str, "PitchName", "Sentence", tuple["Argument", ...], list["Argument"]]


@dataclass(frozen=True, slots=True)
class PitchName:
    """A pitch by its written name: letter C to B, `alter` in semitones (sharps above 0).

    `octave` counts from middle C as 4; None names the pitch in any octave.
    """

    letter: str
    alter: int
    octave: int | None = None


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence, or a part of one, in no language."""

    code: str
    args: dict[str, Argument] = field(default_factory=dict)

    def __str__(self) -> str:
        """For logs and tests: "finding.left_out (bars: 3-4)"."""
        named = ", ".join(f"{name}: {value}" for name, value in self.args.items())
        return f"{self.code} ({named})" if named else self.code


class SentenceCode:
    """A sentence that can be said. Calling it fills in the arguments; raises `TypeError` for others."""

    def __init__(self, code: str, *names: str) -> None:
        self.code = code
        self.names = frozenset(names)

    def __call__(self, **args: Argument) -> Sentence:
        """The sentence with these arguments."""
        if args.keys() != self.names:
            raise TypeError(f"{self.code} takes {sorted(self.names)}, not {sorted(args)}")
        return Sentence(self.code, args)

    def of(self, **facts: Argument) -> Sentence:
        """The sentence with those of these facts it names, where several sentences share their facts."""
        return self(**{name: fact for name, fact in facts.items() if name in self.names})

    def __repr__(self) -> str:
        return f"SentenceCode({self.code!r})"


def from_json(document: Mapping[str, Any]) -> Sentence:
    """The sentence of such a document, as `asdict` wrote it; raises `KeyError` for any other."""
    args = {name: _argument(value) for name, value in document["args"].items()}
    return Sentence(document["code"], args)


def _argument(value: Any) -> Argument:
    if isinstance(value, Mapping):
        return from_json(value) if "code" in value else PitchName(**value)
    return tuple(_argument(each) for each in value) if isinstance(value, list | tuple) else value
