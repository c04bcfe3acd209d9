"""Whether what a package can say has words, and the words their places."""

import inspect
from collections.abc import Iterator, Mapping
from string import Formatter
from types import ModuleType

from repertoire.notation.sentence import SentenceCode
from repertoire.wording.templates import Meaning, Plural, Template


def declared(module: ModuleType) -> dict[str, frozenset[str]]:
    """Argument names by code of every sentence a module declares, also inside its tables."""
    return {code.code: code.names for value in vars(module).values() for code in _codes(value)}


def _codes(value: object) -> Iterator[SentenceCode]:
    if isinstance(value, SentenceCode):
        yield value
    elif isinstance(value, Mapping):
        for each in value.values():
            yield from _codes(each)


def places(template: Template) -> frozenset[str]:
    """The places of a template; a plural's two forms may each leave one out."""
    if isinstance(template, Plural):
        return _places(template.singular) | _places(template.plural) | {template.by}
    if isinstance(template, Meaning):
        return _places(template.singular)
    if isinstance(template, str):
        return _places(template)
    return frozenset(inspect.signature(template).parameters)


def _places(text: str) -> frozenset[str]:
    return frozenset(name for _, name, _, _ in Formatter().parse(text) if name)
