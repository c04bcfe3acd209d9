"""Names of the files that are sent, from the body's pattern. Pure."""

import re
import unicodedata
from collections.abc import Mapping

PLACES = ("number", "music", "instrument", "level", "audition", "entry", "student")
LONGEST_NAME = 100
_PLACE = re.compile(r"\{([^{}]*)\}")
# What file systems and upload pages refuse, and what would lead into another folder.
_UNFIT = re.compile(r"[^\w .,()+-]")


def unknown_places(pattern: str) -> list[str]:
    """What stands in braces and is no place."""
    return [name for name in _PLACE.findall(pattern) if name not in PLACES]


def has_stray_brace(pattern: str) -> bool:
    return bool(set(_PLACE.sub("", pattern)) & set("{}"))


def names_person(pattern: str) -> bool:
    return "student" in _PLACE.findall(pattern)


def file_name(pattern: str, facts: Mapping[str, str], ending: str) -> str:
    """The pattern with its places filled, safe on every disk, with the ending of its format."""
    filled = _PLACE.sub(lambda found: facts.get(found[1], ""), pattern)
    safe = _UNFIT.sub("-", unicodedata.normalize("NFC", filled))
    stem = " ".join(safe.split()).strip(" .-")[:LONGEST_NAME].rstrip(" .-")
    return f"{stem or facts.get('number') or 'take'}.{ending}"
