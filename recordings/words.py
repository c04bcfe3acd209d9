"""Bars as they are named in a sentence."""

from django.utils.translation import gettext as _


def bars_in_words(bars: str) -> str:
    """ "8" gives "Bar 8", "12-13" and "4, 8" give "Bars 12-13" and "Bars 4, 8"; nothing stays nothing."""
    if not bars:
        return ""
    return (_("Bar %(bars)s") if bars.isalnum() else _("Bars %(bars)s")) % {"bars": bars}
