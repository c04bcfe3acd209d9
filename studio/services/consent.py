from zoneinfo import ZoneInfo

from django.db import IntegrityError, transaction
from django.db.models import QuerySet
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from studio.models import AgreedKeeping, Consent, Season, Student, Studio, User


def seasons_of(student: Student) -> QuerySet[Season]:
    return Season.objects.filter(auditions__entries__student=student).distinct()


def consent_wording(student: Student, *, panels: bool = False) -> str:
    """The words a guardian agrees to, as they stand today; paragraphs are separated by empty lines."""
    seasons = seasons_of(student)
    context = {"student": student, "studio": Studio.current(), "seasons": list(seasons), "panels": panels}
    text = render_to_string("studio/consent_wording.txt", context)
    paragraphs = (" ".join(part.split()) for part in text.split("\n\n"))
    return "\n\n".join(part for part in paragraphs if part)


def give_consent(student: Student, guardian: User, *, panels: bool = False) -> bool:
    """Record the agreement with its wording and the days it names; False where one already stands."""
    try:
        with transaction.atomic():
            consent = Consent.objects.create(
                student=student,
                given_by=guardian,
                wording=consent_wording(student, panels=panels),
                for_panels=panels,
            )
            AgreedKeeping.objects.bulk_create(
                AgreedKeeping(consent=consent, season=season, until=season.keep_takes_until)
                for season in seasons_of(student)
            )
    except IntegrityError:
        return False
    return True


@transaction.atomic
def agree_anew(student: Student, guardian: User, *, panels: bool = False) -> None:
    """To the words of today; the agreement before is kept as withdrawn."""
    for standing in student.consents.filter(withdrawn_at=None):
        standing.withdraw()
    give_consent(student, guardian, panels=panels)


def asked_for_longer(consent: Consent) -> list[Season]:
    """Seasons whose takes the studio would now like to keep beyond the day this agreement names."""
    return [
        keeping.season
        for keeping in consent.keepings.select_related("season")
        if keeping.season.keep_takes_until > keeping.until
    ]


def receipt_text(consent: Consent) -> str:
    """One agreement with its dates and its very words, as a page of plain text."""
    studio = Studio.current()
    lines = [
        _("Agreement no. %(number)d to recording %(name)s, %(studio)s")
        % {"number": consent.pk, "name": consent.student.name, "studio": studio.name},
        "",
        _("Given by %(name)s on %(when)s")
        % {"name": consent.given_by.name, "when": _moment(consent.given_at, studio)},
    ]
    if consent.withdrawn_at:
        lines.append(_("Withdrawn on %(when)s") % {"when": _moment(consent.withdrawn_at, studio)})
    else:
        lines.append(_("It stands on %(when)s.") % {"when": _moment(timezone.now(), studio)})
    return "\n".join([*lines, "", consent.wording, ""])


def _moment(at, studio: Studio) -> str:
    local = timezone.localtime(at, ZoneInfo(studio.time_zone))
    return f"{date_format(local, str(_('j F Y, H:i')))} ({studio.time_zone})"
