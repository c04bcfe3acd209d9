"""Sentences in words, in the language of now: the one way from a code to what a person reads."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from string import Formatter
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import gettext as _

from repertoire.notation.numerals import plain_number
from repertoire.notation.sentence import Argument, PitchName, Sentence, from_json
from repertoire.wording.pitch_names import pitch_words
from repertoire.wording.templates import TEMPLATES, text_of

MINUS = "−"


def words(said: Argument | Mapping[str, Any] | None) -> str:
    """A sentence, or its JSON, in words; a text stays as it is, as those of older documents must."""
    if said is None or isinstance(said, str):
        return said or ""
    if isinstance(said, Mapping):
        said = from_json(said) if "code" in said else PitchName(**said)
    if isinstance(said, Sentence):
        return _filled(said)
    if isinstance(said, PitchName):
        return pitch_words(said)
    if isinstance(said, Sequence):
        return list_words([words(each) for each in said])
    return number_words(said)


def list_words(items: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    if len(items) < 2:
        return "".join(items)
    return _("%(first)s and %(last)s") % {"first": ", ".join(items[:-1]), "last": items[-1]}


def number_words(number: int | float | Decimal) -> str:
    """With the decimal sign of the language, as exact as it is given, and a true minus."""
    exact = Decimal(str(number))
    return number_format(abs(exact)) if exact >= 0 else MINUS + number_format(abs(exact))


def short_number(value: Decimal | float | str) -> str:
    """Without idle noughts, with the decimal sign of the language: "10", "7,5"."""
    return number_words(Decimal(plain_number(value)))


def fill(template: str, **args: Argument) -> str:
    """A text of the catalogue with its places filled, as `templates` describes them."""
    return _Filler().vformat(template, (), args)


class _Filler(Formatter):
    def format_field(self, value: Any, format_spec: str) -> str:
        text = words(value)
        if format_spec == "+":
            return f"+{text}" if value > 0 else text
        return text[:1].lower() + text[1:] if format_spec == "small" else text


def _filled(sentence: Sentence) -> str:
    template = TEMPLATES.get(sentence.code)
    if template is None:  # written by a later version of the program
        return _("(A sentence this version does not know: %(code)s)") % {"code": sentence.code}
    if callable(template):
        return template(**sentence.args)
    return fill(text_of(template, sentence.args), **sentence.args)
