"""Times, deadlines and marks as a person says them, for the pages of takes and reviews."""

import json
from datetime import datetime
from decimal import Decimal

from django import template
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from recordings.reviews.queue_filter import QueueFilter
from repertoire.notation import numerals
from repertoire.wording.words import short_number
from repertoire.words import bars_in_words

register = template.Library()


@register.simple_tag(takes_context=True)
def queue_query(context) -> str:
    """What the queue was asked for, to be kept in the addresses of its takes."""
    return QueueFilter.of(context["request"].GET).query


register.filter(bars_in_words)


@register.filter
def clock(seconds: float | None) -> str:
    """Seconds in a take as minutes and seconds: 83.4 gives 1:23."""
    return "" if seconds is None else numerals.clock(seconds)


@register.filter(name="json")
def as_json(value: object) -> str:
    """Plain data for a `data-` attribute that a script reads."""
    return json.dumps(value)


@register.filter
def unlocalized(number: float) -> str:
    """A number as drawings read it, whatever the language of the page."""
    return f"{number:g}"


@register.filter
def days_left(due_at: datetime) -> str:
    """A deadline counted in days of the studio's calendar."""
    days = (timezone.localdate(due_at) - timezone.localdate()).days
    if days == 0:
        return _("due today")
    if days < 0:
        return ngettext("%(n)d day past", "%(n)d days past", -days) % {"n": -days}
    return ngettext("%(n)d day left", "%(n)d days left", days) % {"n": days}


@register.filter
def percent(share: float) -> int:
    """A share of 0 to 1 in whole per cent."""
    return round(100 * share)


@register.filter
def plain_mark(number: Decimal | str | None) -> str:
    """A mark without idle decimals: 7.0 gives 7, in German 7.5 gives 7,5."""
    return "" if number in (None, "") else short_number(number)


@register.filter
def typed_mark(number: Decimal) -> str:
    """The same for a number field, which knows the point alone."""
    return numerals.plain_number(number)
