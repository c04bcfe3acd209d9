"""Dates as a file calendars read (iCalendar, RFC 5545; its name and how often to ask: RFC 7986)."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from uuid import NAMESPACE_URL, uuid5

import icalendar
from django.conf import settings

from studio.services.calendar_events import Event

# How often calendars are asked to look again; many keep to a pace of their own. A choice.
ASK_AGAIN_AFTER = timedelta(hours=6)


def calendar_file(events: Iterable[Event], *, name: str, at: datetime) -> bytes:
    calendar = icalendar.Calendar()
    calendar.add("prodid", "-//Fairhearing//Season//EN")
    calendar.add("version", "2.0")
    # Published anew at every request: of two with one UID the later DTSTAMP is the one that counts
    # (RFC 5546, 2.1.5), so a date that was moved moves in the calendar too.
    calendar.add("method", "PUBLISH")
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)
    calendar.add("refresh-interval", ASK_AGAIN_AFTER, parameters={"value": "DURATION"})
    for event in events:
        calendar.add_component(_component(event, at))
    return calendar.to_ical()


def _component(event: Event, at: datetime) -> icalendar.Event:
    address = settings.SITE_ADDRESS + event.path
    component = icalendar.Event()
    component.add("uid", str(uuid5(NAMESPACE_URL, f"{settings.SITE_ADDRESS}/{event.key}")))
    component.add("dtstamp", at.astimezone(UTC))
    component.add("dtstart", _in_utc(event.starts))
    component.add("summary", event.summary)
    component.add("description", "\n".join([*event.lines, address]))
    component.add("url", address)
    component.add("class", "PRIVATE")
    component.add("transp", "OPAQUE" if event.is_meeting else "TRANSPARENT")
    if event.place:
        component.add("location", event.place)
    return component


def _in_utc(starts):
    """A time without a zone's rules, right on both sides of a clock change; a day stays a day."""
    return starts.astimezone(UTC) if isinstance(starts, datetime) else starts
