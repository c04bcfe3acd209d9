"""Reminders of deadlines for which no take has come: a week ahead and two days ahead, once each."""

from collections import defaultdict
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Q
from django.urls import reverse
from django.utils import timezone

from recordings.models import Take
from studio.models import Entry, Notice, Requirement, Student, Studio
from studio.services.notices import mail_matters

# When pupils are home and not yet in bed, by the studio's clock. Every hour in between is tried, so that a
# worker that was away at four makes up for it at five; what was mailed is not mailed again.
FROM, UNTIL = time(16), time(20)
# Days ahead; the day after each makes up for a day on which nothing ran. A choice, no published source.
DAYS_AHEAD = (7, 2)
Due = tuple[Entry, Requirement]


def remind(at: datetime) -> int:
    """Mail those with a deadline ahead and no take; how many mails went out. Safe to run twice."""
    studio = Studio.current()
    with timezone.override(ZoneInfo(studio.time_zone)):
        if not FROM <= timezone.localtime(at).time() < UNTIL:
            return 0
        return sum(_mail(student, due_at, due, at) for (student, due_at), due in _due(at).items())


def _due(at: datetime) -> dict[tuple[Student, datetime], list[Due]]:
    """What each student still owes, by student and deadline."""
    ahead = at + timedelta(days=max(DAYS_AHEAD) + 1)
    running = Q(audition__season__ends_on__gte=timezone.localdate(at))
    coming = Requirement.objects.filter(running, due_at__gt=at, due_at__lte=ahead)
    of_extended = Entry.objects.filter(extended_until__gt=at, extended_until__lte=ahead).values("audition")
    late = Requirement.objects.filter(running, due_at__lte=ahead, audition__in=of_extended)
    due = defaultdict(list)
    for requirement in (coming | late).only("due_at", "audition", "instrument", "level").distinct():
        for entry in _without_take(requirement):
            due_at = entry.due_at(requirement)
            is_ahead = due_at > at and _kind(due_at, at) is not None
            if is_ahead and not entry.was_made_on(timezone.localdate(at)):
                due[entry.student, due_at].append((entry, requirement))
    return due


def _without_take(requirement: Requirement):
    heard = Take.objects.to_be_heard().filter(entry=OuterRef("pk"), requirement=requirement)
    entries = Entry.objects.filter(
        ~Exists(heard),
        audition=requirement.audition_id,
        instrument=requirement.instrument,
        level=requirement.level,
    )
    return entries.select_related("student")


def _days_left(due_at: datetime, at: datetime) -> int:
    """By the studio's calendar, so that a night of 23 or 25 hours is one day."""
    return (timezone.localdate(due_at) - timezone.localdate(at)).days


def _kind(due_at: datetime, at: datetime) -> int | None:
    """Which reminder this is the day for."""
    left = _days_left(due_at, at)
    return next((days for days in DAYS_AHEAD if days - 1 <= left <= days), None)


def _mail(student: Student, due_at: datetime, due: list[Due], at: datetime) -> int:
    day = timezone.localdate(due_at)
    kind = _kind(due_at, at)
    abouts = [
        f"entry {entry.pk} requirement {requirement.pk} by {day}, {kind} days" for entry, requirement in due
    ]
    path = (
        reverse("requirement_takes", args=[due[0][0].pk, due[0][1].pk]) if len(due) == 1 else reverse("home")
    )
    words = {"due_at": due_at, "days": _days_left(due_at, at)}
    return mail_matters(Notice.Kind.DEADLINE, student, abouts=abouts, path=path, at=at, words=words)


def remind_now(entry: Entry, requirement: Requirement, at: datetime) -> int:
    """Mail student and guardians because somebody asks for it; once a day by the studio's calendar."""
    today = timezone.localdate(at)
    about = f"entry {entry.pk} requirement {requirement.pk} asked for on {today}"
    path = reverse("requirement_takes", args=[entry.pk, requirement.pk])
    due_at = entry.due_at(requirement)
    words = {"due_at": due_at, "days": _days_left(due_at, at), "asked": True, "is_over": due_at < at}
    return mail_matters(Notice.Kind.DEADLINE, entry.student, abouts=[about], path=path, at=at, words=words)
