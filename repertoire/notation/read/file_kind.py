"""What an uploaded score is, by its content: the file's name is never looked at. Raises nothing."""

import re
from enum import Enum

HEAD_BYTES = 4096
KERN = re.compile(r"^\*\*\w+", re.MULTILINE)
ABC_KEY = re.compile(r"^K:", re.MULTILINE)
ABC_HEAD = re.compile(r"^[XTMLCQ]:", re.MULTILINE)


class Kind(Enum):
    """What `read_score` can read."""

    MUSICXML = "MusicXML"
    MIDI = "MIDI"
    ABC = "ABC"
    KERN = "kern"


def kind_of(data: bytes) -> Kind:
    """MIDI by its first bytes, ABC and kern by lines only they have; anything else is read as MusicXML."""
    if data[:4] == b"MThd" or (data[:4] == b"RIFF" and data[8:12] == b"RMID"):
        return Kind.MIDI
    head = as_text(data[:HEAD_BYTES])
    if head is None or head.lstrip("\ufeff \t\r\n").startswith("<"):
        return Kind.MUSICXML
    if KERN.search(head):
        return Kind.KERN
    if ABC_KEY.search(head) and ABC_HEAD.search(head):
        return Kind.ABC
    return Kind.MUSICXML


def as_text(data: bytes) -> str | None:
    """The bytes as text with plain line ends; None where they are no text."""
    if b"\x00" in data:
        return None
    try:
        text = data.decode("utf-8-sig", errors="strict")
    except UnicodeDecodeError:
        text = data.decode("latin-1")
    return text.replace("\r\n", "\n").replace("\r", "\n")
