"""Which scales "all majors to four sharps" are, in the order they are listed in.

From no accidentals through the sharps one by one, then through the flats: the order of the key signatures.
Kinds follow one another: all majors, then all minors. Common practice, no published source. A kind that is
not in `KINDS` raises `KeyError`.
"""

from dataclasses import dataclass

from repertoire.notation.pitches import spelled_at
from repertoire.notation.write.scale_kinds import KINDS

MOST_ACCIDENTALS = 7


@dataclass(frozen=True, slots=True)
class SetScale:
    """One scale of a set."""

    tonic: str  # "F#"
    kind: str


def scales_of_set(kinds: list[str], *, sharps: int, flats: int) -> list[SetScale]:
    """All scales of these kinds with no accidentals up to so many sharps and so many flats.

    Kinds that have no key signature begin on the tonics of the majors with those signatures.
    """
    signatures = [*range(sharps + 1), *range(-1, -flats - 1, -1)]
    return [SetScale(tonic_of(fifths, kind), kind) for kind in kinds for fifths in signatures]


def tonic_of(fifths: int, kind: str) -> str:
    """The tonic whose scale of this kind has the signature, sharps above 0."""
    letter, alter = spelled_at(fifths - (KINDS[kind].key_fifths or 0))
    return letter + ("#" * alter if alter > 0 else "b" * -alter)
