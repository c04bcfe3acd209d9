"""Sentences in words, for the tools that run without Django."""

import os
from functools import cache
from typing import Any

import django


@cache
def _ready() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.setup.settings")
    django.setup()


def in_words(sentence: Any) -> str:
    """A sentence or its JSON as a person reads it."""
    _ready()
    from repertoire.wording.words import words

    return words(sentence)
