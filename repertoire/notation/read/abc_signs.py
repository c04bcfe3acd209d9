"""ABC before music21 reads it: music21 passes over what it does not know, so a part would be lost unseen.

Signs after the ABC 2.1 standard (abcnotation.com/wiki/abc:standard:v2.1, from memory).
"""

import re

from repertoire.notation import messages
from repertoire.notation.score import BadScore

REFERENCE = re.compile(r"^X:\s*\d+", re.MULTILINE)
FIELD = re.compile(r"^[A-Za-z+]:")
NOT_NOTES = re.compile(r'"[^"]*"|![^!\s]*!|\+[a-z]+\+|\[[A-Za-z]:[^\]]*\]|%.*$')
SIGN = re.compile(r"[A-Ga-gzxZXyHI-Wh-w~0-9/,'^_=|:\[\](){}<>\-.\\*$` \t]")


def check_abc(text: str) -> None:
    """Raise `BadScore` for several tunes, two layers on one line and signs that ABC does not have."""
    tunes = len(REFERENCE.findall(text))
    if tunes > 1:
        raise BadScore(messages.ABC_TUNES(count=tunes))
    bar, in_music = 1, False
    for number, line in enumerate(text.splitlines(), 1):
        if FIELD.match(line):
            in_music = in_music or line.startswith("K:")
            continue
        if not in_music or line.startswith("%"):
            continue
        music = NOT_NOTES.sub(" ", line)
        for place, sign in enumerate(music):
            if sign == "&":
                raise BadScore(messages.ABC_LAYERS(bar=bar))
            if not SIGN.fullmatch(sign):
                raise BadScore(messages.ABC_SIGN(bar=bar, line=number, sign=sign))
            if sign == "|" and re.search(r"[A-Ga-gzxZ]", music[:place].rpartition("|")[2]):
                bar += 1
