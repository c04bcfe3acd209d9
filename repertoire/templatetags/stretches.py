from django import template

from repertoire.models import Excerpt
from repertoire.show.stretches import stretches, within_stretch

register = template.Library()


@register.inclusion_tag("repertoire/_stretches.html")
def music_stretches(excerpt: Excerpt, shown: tuple[str, str] | None) -> dict:
    """Which bars of very long music a page shows, and where the others are; nothing for other music."""
    return {"excerpt": excerpt, "shown": shown, "stretches": stretches(excerpt) if shown else []}


@register.inclusion_tag("repertoire/_stretches.html")
def stretch_of_bars(excerpt: Excerpt, bars: tuple[str, str] | None, *, links: bool = True) -> dict:
    """The same where a page shows the bars asked for, or as many of them as stand in one stretch."""
    found = stretches(excerpt)
    if not found:
        return {}
    whole = bars or (found[0][0], found[-1][1])
    shown = within_stretch(excerpt.score, whole)
    if shown == whole:
        return {}
    return {"excerpt": excerpt, "shown": shown, "stretches": found if links else []}
