"""The fingering printed in a score: `<fingering>` and `<string>` of MusicXML 4.0, by note."""

from repertoire.notation.positions.hand import THUMB
from repertoire.notation.positions.plan import Lock
from repertoire.notation.xml import parse_trusted


def printed_fingering(musicxml: str) -> dict[str, Lock]:
    """What a canonical MusicXML prints; strings are numbered from 1, the highest, as MusicXML does."""
    found: dict[str, Lock] = {}
    for note in parse_trusted(musicxml).iter("note"):
        technical = note.find("notations/technical")
        if technical is None:
            continue
        finger = _finger((technical.findtext("fingering") or "").strip())
        if finger is None and technical.find("open-string") is not None:
            finger = 0
        if finger is None and technical.find("thumb-position") is not None:
            finger = THUMB
        string = (technical.findtext("string") or "").strip()
        lock = Lock(finger, int(string) - 1 if string in ("1", "2", "3", "4", "5", "6") else None)
        if lock != Lock():
            found[note.get("id", "")] = lock
    return found


def _finger(text: str) -> int | None:
    if text in ("0", "1", "2", "3", "4"):
        return int(text)
    return THUMB if text.lower() == "t" else None
