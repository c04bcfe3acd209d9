"""ABC's voices put one after the other: music21 reads `[V:2]` at a line's start as more of the first voice.

`V:` and `[V:]` after the ABC 2.1 standard, 7 (from memory).
"""

import re

from repertoire.notation import messages
from repertoire.notation.score import BadScore

VOICE = re.compile(
    r"^(?:V:[ \t]*(?P<field>\S+)(?P<rest>.*)|\[V:[ \t]*(?P<inline>[^\s\]]+)(?P<more>[^\]]*)\])"
)
NAME = re.compile(r"\b(?:name|nm)=\"([^\"]*)\"")
INSIDE = re.compile(r"\[V:")


def gather_voices(text: str) -> tuple[str, list[str]]:
    """The tune with each voice's lines together, and the voices' names; a single voice is left as it is.

    Raises `BadScore` where a voice begins inside a line.
    """
    lines = text.splitlines()
    key = next((k for k, line in enumerate(lines) if line.startswith("K:")), len(lines))
    names: dict[str, str] = {}
    music: dict[str, list[str]] = {}
    current = ""  # of lines before any voice is named
    for place, line in enumerate(lines):
        found = VOICE.match(line)
        if found:
            current, line = found["field"] or found["inline"], line[found.end() :]
            name = NAME.search(found["rest"] or found["more"] or "")
            names |= {current: name[1]} if name else {}
        if INSIDE.search(line):
            raise BadScore(messages.ABC_VOICE_INSIDE(line=place + 1))
        if place > key and line.strip():
            music.setdefault(current, []).append(line)
    if len(music) < 2:
        return text, []
    head = [line for line in lines[: key + 1] if not VOICE.match(line)]
    for voice, own in music.items():
        head += [f"V:{voice or 'first'}", *own]
    return "\n".join(head) + "\n", [names.get(voice, "") for voice in music]
