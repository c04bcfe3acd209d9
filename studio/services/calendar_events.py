"""The dates that concern one person, for the calendar feed.

Whoever has the address reads them, so they say as little as serves: no student's surname, a first name to
that child's guardians alone, and to staff no student at all.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Count, Exists, F, OuterRef, Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repertoire.words import bar_words
from studio.models import Audition, Clinic, ClinicAcceptance, Entry, Requirement, Student, User

# How long what is over stays in the calendar. A choice, no published source.
KEPT = timedelta(days=60)


@dataclass(frozen=True, slots=True)
class Event:
    """One date; `key` stays the same when the date moves, a plain day has no time."""

    key: str
    starts: datetime | date
    summary: str
    path: str
    lines: tuple[str, ...] = ()
    place: str = ""
    is_meeting: bool = False


def events_for(user: User, at: datetime) -> list[Event]:
    """Each date once, also for a person of several roles."""
    since = at - KEPT
    events = [*_own(user, since), *_own_clinics(user, since)]
    if user.is_teacher:
        events += _taught(user, since)
    if user.is_director:
        events += [event for audition in _auditions(since) for event in _of_audition(audition)]
    if user.is_staff:
        events += _clinics(user, since)
    return list({event.key: event for event in events}.values())


def _own_students(user: User):
    """Students themselves, and the children of guardians."""
    return Student.objects.filter(Q(user=user) | Q(guardianships__guardian=user))


def _auditions(since: datetime):
    """Closed or held not too long ago, or still ahead."""
    return Audition.objects.filter(Q(closes_at__gte=since) | Q(held_on__gte=timezone.localdate(since)))


def _own(user: User, since: datetime) -> Iterator[Event]:
    current = Q(audition__in=_auditions(since).order_by().values("pk")) | Q(extended_until__gte=since)
    own = Entry.objects.filter(current, student__in=_own_students(user).values("pk"))
    asked = _asked_of(own)
    for entry in own.select_related("student", "audition"):
        who = entry.student.first_name if entry.student.user_id != user.pk else ""
        for requirement in asked[entry.audition_id, entry.instrument, entry.level]:
            yield _deadline(entry, requirement, who)
        yield from _of_audition(entry.audition, entry=entry, who=who)


def _asked_of(entries) -> dict[tuple[int, str, str], list[Requirement]]:
    """All that these entries carry, in one query, by audition, instrument and level."""
    carrying = entries.order_by().filter(
        audition=OuterRef("audition"), instrument=OuterRef("instrument"), level=OuterRef("level")
    )
    asked = defaultdict(list)
    for requirement in _in_short(Requirement.objects.filter(Exists(carrying))):
        asked[requirement.audition_id, requirement.instrument, requirement.level].append(requirement)
    return asked


def _in_short(requirements):
    """Without the music itself, by far the largest column."""
    columns = ("audition", "instrument", "level", "due_at", "from_bar", "to_bar", "excerpt__title")
    return requirements.select_related("excerpt").only(*columns)


def _deadline(entry: Entry, requirement: Requirement, who: str) -> Event:
    return Event(
        key=f"entry-{entry.pk}-requirement-{requirement.pk}",
        starts=entry.due_at(requirement),
        summary=_said_of(who, _("Hand in: %(music)s") % {"music": _music(requirement)}),
        path=reverse("requirement_takes", args=[entry.pk, requirement.pk]),
        lines=(_("The studio's deadline for %(audition)s.") % {"audition": entry.audition.name},),
    )


def _of_audition(audition: Audition, *, entry: Entry | None = None, who: str = "") -> Iterator[Event]:
    """Its closing time, and its day where it is played live."""
    key = f"entry-{entry.pk}" if entry else f"audition-{audition.pk}"
    path = (
        reverse("student_page", args=[entry.student_id])
        if entry
        else reverse("audition_detail", args=[audition.pk])
    )
    name = {"audition": audition.name}
    closing = _said_of(who, _("Closing time: %(audition)s") % name)
    yield Event(
        key=f"{key}-closes",
        starts=entry.closes_at if entry else audition.closes_at,
        summary=closing,
        path=path,
    )
    if audition.kind == Audition.Kind.LIVE:
        held = _said_of(who, _("Audition: %(audition)s") % name)
        yield Event(key=f"{key}-held", starts=audition.held_on, summary=held, path=path)


def _own_clinics(user: User, since: datetime) -> Iterator[Event]:
    """Accepted, and still inviting: whose music or choice has changed since is not asked any more."""
    playing = Requirement.objects.filter(
        excerpt=OuterRef("clinic__excerpt"),
        audition__entries__student=OuterRef("student"),
        audition__entries__instrument=F("instrument"),
        audition__entries__level=F("level"),
    )
    chosen = Clinic.students.through.objects.filter(clinic=OuterRef("clinic"), student=OuterRef("student"))
    accepted = ClinicAcceptance.objects.filter(
        Q(Exists(playing), clinic__for_all=True) | Q(Exists(chosen), clinic__for_all=False),
        student__in=_own_students(user).values("pk"),
        clinic__held_at__gte=since,
    ).select_related("student", "clinic__excerpt")
    for acceptance in accepted.defer("clinic__excerpt__musicxml", "clinic__notes"):
        student = acceptance.student
        who = student.first_name if student.user_id != user.pk else ""
        yield _of_clinic(acceptance.clinic, key=f"student-{student.pk}-", who=who)


def _clinics(user: User, since: datetime) -> Iterator[Event]:
    """Those a teacher leads; a director's are all."""
    clinics = Clinic.objects.filter(held_at__gte=since).select_related("excerpt")
    led = clinics if user.is_director else clinics.filter(leader=user)
    return (_of_clinic(clinic) for clinic in led.defer("excerpt__musicxml", "notes"))


def _of_clinic(clinic: Clinic, *, key: str = "", who: str = "") -> Event:
    return Event(
        key=f"{key}clinic-{clinic.pk}",
        starts=clinic.held_at,
        summary=_said_of(who, _("Clinic: %(music)s") % {"music": clinic.excerpt.title}),
        path=reverse("clinic_detail", args=[clinic.pk]),
        place=clinic.place,
        is_meeting=True,
    )


def _taught(user: User, since: datetime) -> Iterator[Event]:
    """One date a requirement, however many of this teacher's students play it."""
    asked = Requirement.objects.filter(
        audition__in=_auditions(since).order_by().values("pk"),
        audition__entries__student__teacher=user,
        audition__entries__instrument=F("instrument"),
        audition__entries__level=F("level"),
    )
    counted = asked.annotate(players=Count("audition__entries__student", distinct=True))
    for requirement in _in_short(counted).annotate(audition_name=F("audition__name")):
        yield _awaited(requirement)


def _awaited(requirement) -> Event:
    sentence = ngettext(
        "%(count)d of your students plays it for %(audition)s.",
        "%(count)d of your students play it for %(audition)s.",
        requirement.players,
    )
    return Event(
        key=f"requirement-{requirement.pk}",
        starts=requirement.due_at,
        summary=_("Takes due: %(music)s") % {"music": _music(requirement)},
        path=reverse("readiness"),
        lines=(sentence % {"count": requirement.players, "audition": requirement.audition_name},),
    )


def _music(requirement: Requirement) -> str:
    """Two requirements on the same music are told apart by their bars."""
    title = requirement.excerpt.title
    return f"{title}, {bar_words(*requirement.bars)}" if requirement.bars else title


def _said_of(who: str, matter: str) -> str:
    return _("%(name)s: %(matter)s") % {"name": who, "matter": matter} if who else matter
