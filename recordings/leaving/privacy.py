"""The studio's page on privacy: its director's words, or a draft that says what the program really does."""

from dataclasses import dataclass

from django.conf import settings
from django.db.models import Max, Min
from django.template.loader import render_to_string

from recordings.models.own_copy import KEPT_FOR as COPY_KEPT_FOR
from recordings.models.upload import LIFETIME
from studio.models import Season, Studio
from studio.models.event import KEPT_FOR as EVENTS_KEPT_FOR
from studio.models.outgoing_mail import KEPT_FOR as MAILS_KEPT_FOR
from studio.setup.devices import KEPT_S as DEVICE_KEPT_S

HEADING = "# "
DAY_S = 24 * 3600


@dataclass(frozen=True, slots=True)
class Paragraph:
    text: str
    is_heading: bool


def privacy_text(studio: Studio) -> str:
    """Paragraphs with empty lines between; one that begins with "# " is a heading."""
    return studio.privacy_text.strip() or draft(studio)


def draft(studio: Studio) -> str:
    """What is stored, who sees it and how long, in the language of now, with the figures of the code."""
    kept = Season.objects.running().aggregate(low=Min("keep_takes_days"), high=Max("keep_takes_days"))
    context = {
        "studio": studio,
        "low": kept["low"],
        "high": kept["high"],
        "upload_days": LIFETIME.days,
        "copy_days": COPY_KEPT_FOR.days,
        "event_days": EVENTS_KEPT_FOR.days,
        "mail_days": MAILS_KEPT_FOR.days,
        "device_days": DEVICE_KEPT_S // DAY_S,
        "session_days": settings.SESSION_LONGEST_DAYS,
    }
    text = render_to_string("recordings/privacy_draft.txt", context)
    parts = (" ".join(part.split()) for part in text.split("\n\n"))
    return "\n\n".join(part for part in parts if part)


def paragraphs(text: str) -> list[Paragraph]:
    parts = (part.strip() for part in text.replace("\r\n", "\n").split("\n\n"))
    return [
        Paragraph(part.removeprefix(HEADING), is_heading=part.startswith(HEADING)) for part in parts if part
    ]
