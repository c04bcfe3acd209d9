"""What a requirement asks, in a few words."""

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repertoire.words import bar_words
from studio.models import Requirement


def bars_asked(requirement: Requirement) -> str:
    """ "all 16 bars", "bars 5-8", or the order of play as a line."""
    if requirement.order_line:
        return _("bars %(line)s") % {"line": requirement.order_line}
    if requirement.from_bar:
        return bar_words(requirement.from_bar, requirement.to_bar)
    count = requirement.excerpt.bar_count
    return ngettext("the one bar", "all %(count)d bars", count) % {"count": count}
