"""Published scale spellings, written out for the tests.

The twelve major scales stand so at themelosproject.com/reference/scales, with the rules its minors are made
by: natural minor lowers the major's third, sixth and seventh; harmonic minor raises the natural minor's
seventh; melodic minor going up raises its sixth and seventh. Its descending form is the natural minor.
"""

import re

MAJOR = {
    row.split()[0]: row.split()
    for row in (
        "C D E F G A B",
        "G A B C D E F#",
        "D E F# G A B C#",
        "A B C# D E F# G#",
        "E F# G# A B C# D#",
        "B C# D# E F# G# A#",
        "F# G# A# B C# D# E#",
        "F G A Bb C D E",
        "Bb C D Eb F G A",
        "Eb F G Ab Bb C D",
        "Ab Bb C Db Eb F G",
        "Db Eb F Gb Ab Bb C",
    )
}
# The relative minor of a major begins on its sixth degree (same page), with the same notes.
NATURAL_MINOR = {row[5]: [*row[5:], *row[:5]] for row in MAJOR.values()}
SIGNS = ("bb", "b", "", "#", "##")


def moved(name: str, by: int) -> str:
    letter, signs = re.fullmatch(r"([A-G])(#*|b*)", name).groups()
    return letter + SIGNS[SIGNS.index(signs) + by]


def up_and_down(tonic: str, kind: str) -> list[str]:
    """One octave up and down, as the published table and its rules give it."""
    if kind == "major":
        up = down = MAJOR[tonic]
    else:
        down = up = NATURAL_MINOR[tonic]
        if kind == "harmonic_minor":
            up = down = [*up[:6], moved(up[6], 1)]
        if kind == "melodic_minor":
            up = [*up[:5], moved(up[5], 1), moved(up[6], 1)]
    return [*up, tonic, *reversed(down)]
