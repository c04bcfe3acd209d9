"""What a requirement asks, in a few words, and of whom."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repertoire.models import Excerpt
from repertoire.notation.order.forms import order_to_play
from repertoire.wording.words import short_number
from repertoire.words import bar_words
from studio.models import Entry, Requirement, User


@dataclass(frozen=True, slots=True)
class CellToPlay:
    entry_id: int
    requirement_id: int
    audition: str


def cells_to_play(user: User, excerpt: Excerpt) -> list[CellToPlay]:
    """Where own entries that are still open, or those of the own children, ask for this music."""
    own = Q(student__user=user) | Q(student__guardianships__guardian=user)
    entries = Entry.objects.open().filter(own).distinct()
    entered = list(entries.select_related("audition"))
    asked = Requirement.objects.filter(excerpt=excerpt, audition__in={entry.audition_id for entry in entered})
    return [
        CellToPlay(entry.pk, requirement.pk, entry.audition.name)
        for requirement in asked
        for entry in entered
        if requirement.is_for(entry)
    ]


def bars_asked(requirement: Requirement) -> str:
    """ "all 16 bars", "bars 5-8", or the order of play as a line."""
    if requirement.order_line:
        return _("bars %(line)s") % {"line": requirement.order_line}
    if requirement.from_bar:
        return bar_words(requirement.from_bar, requirement.to_bar)
    count = requirement.excerpt.bar_count
    return ngettext("the one bar", "all %(count)d bars", count) % {"count": count}


def asked_in_short(requirement: Requirement, *, due_at: datetime) -> str:
    """ "all 16 bars, repeats, quarter note = 116 to 136, by Fri 4 Dec"."""
    tempo = _("%(unit)s = %(low)s to %(high)s") % {
        "unit": requirement.excerpt.get_beat_unit_display(),
        "low": short_number(requirement.low_bpm),
        "high": short_number(requirement.high_bpm),
    }
    due = date_format(timezone.localtime(due_at), _("D j M"))
    by = _("by %(when)s") % {"when": due}
    return ", ".join(part for part in (bars_asked(requirement), _repeats(requirement), tempo, by) if part)


def _repeats(requirement: Requirement) -> str:
    """Whether repeats are played; nothing where none are printed in these bars."""
    if requirement.order_line:
        return ""
    score, bars = requirement.excerpt.score, requirement.bars
    if order_to_play(score, with_repeats=True, bars=bars) == order_to_play(
        score, with_repeats=False, bars=bars
    ):
        return ""
    return _("repeats") if requirement.with_repeats else _("without repeats")
