"""The words of a person's name, and whether a text holds one of them. Pure."""

import re
import unicodedata

# Shorter ones ("de", "van") stand in titles too and tell nobody apart.
SHORTEST = 3


def name_words(name: str) -> tuple[str, ...]:
    return tuple(word for word in _words(name) if len(word) >= SHORTEST)


def tells_person(text: str, words: tuple[str, ...]) -> bool:
    return bool(set(_words(text)) & set(words))


def _words(text: str) -> list[str]:
    plain = unicodedata.normalize("NFKD", text.casefold())
    return re.findall(r"[^\W\d_]+", "".join(each for each in plain if not unicodedata.combining(each)))
