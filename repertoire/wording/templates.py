"""Templates of sentences: a text of the catalogue with named places, by code. Each room adds its own.

A template is a text marked by `gettext_noop`, a `Plural` or a `Meaning`, or a function of the arguments for
what the catalogue cannot say (the name of an instrument). Places are `{name}`; `{name:+}` writes a number
with its sign, `{name:small}` a word with a small first letter.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from django.utils.translation import gettext, ngettext, pgettext


@dataclass(frozen=True, slots=True)
class Plural:
    """Two texts, chosen (in other languages from more) by the number in the place `by`."""

    singular: str
    plural: str
    by: str = "count"

    def text(self, args: Mapping) -> str:
        return ngettext(self.singular, self.plural, args[self.by])


@dataclass(frozen=True, slots=True)
class Meaning:
    """A text too short to be understood alone, with what it means here, for the translator."""

    meaning: str
    singular: str

    def text(self, args: Mapping) -> str:
        return pgettext(self.meaning, self.singular)


Template = str | Plural | Meaning | Callable[..., str]
TEMPLATES: dict[str, Template] = {}


def register(templates: Mapping[str, Template]) -> None:
    """Add a room's templates; raises `ValueError` for a code that has one already."""
    twice = TEMPLATES.keys() & templates.keys()
    if twice:
        raise ValueError(f"these codes have a template already: {sorted(twice)}")
    TEMPLATES.update(templates)


def text_of(template: Template, args: Mapping) -> str:
    """The template in the language of now, its places still open."""
    if isinstance(template, str):
        return gettext(template) if template else ""
    if isinstance(template, Plural | Meaning):
        return template.text(args)
    return template(**args)
