"""Bars as they are named in a sentence."""

from collections.abc import Sequence

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

NAMED_BARS = 6  # more bars than this are counted, not listed


def bar_words(first: str, last: str) -> str:
    """ "bar 5", "bars 5-8"."""
    return _words(first, 1) if first == last else _words(f"{first}-{last}", 2)


def bars_in_words(bars: str) -> str:
    """ "8" gives "Bar 8", "12-13" and "4, 8" give "Bars 12-13" and "Bars 4, 8"; nothing stays nothing."""
    return capfirst(_words(bars, 1 if bars.isalnum() else 2)) if bars else ""


def bars_named(labels: Sequence[str]) -> str:
    """ "Bar 1", "Bars 1, 2", and of many only the first few with the number of the others."""
    if len(labels) <= NAMED_BARS:
        return capfirst(_words(", ".join(labels), len(labels)))
    return _("Bars %(bars)s and %(more)d more") % {
        "bars": ", ".join(labels[:NAMED_BARS]),
        "more": len(labels) - NAMED_BARS,
    }


def _words(bars: str, count: int) -> str:
    return ngettext("bar %(bars)s", "bars %(bars)s", count) % {"bars": bars}
