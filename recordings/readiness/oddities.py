"""What is missing or odd in auditions as they are set up: a sentence each, and the page that mends it.

The forms refuse or ask about most of this when it is typed; what was there before, was loaded, or went odd
later (an account closed, a date gone by) is found here. One query for the requirements, two for the students.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Any

from django.db.models import Exists, OuterRef, Q
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from recordings.models import KeptCell, Take
from recordings.readiness.checklist import Standing
from repertoire.wording.instruments import instrument_name
from repertoire.wording.words import short_number
from studio.models import Audition, Entry, Requirement, Role, Student, User
from studio.models.student import StudentQuerySet

# A beat unit mistaken for its double or half is off by this much; a choice, no published source.
ODD_TEMPO_RATIO = 2


class About(StrEnum):
    MUSIC = "music"
    DATES = "dates"
    TEMPO = "tempo"
    TEACHER = "teacher"
    AGREEMENT = "agreement"


ABOUT_WORDS = {
    About.MUSIC: gettext_lazy("what is played by whom"),
    About.DATES: gettext_lazy("dates"),
    About.TEMPO: gettext_lazy("tempo and order of play"),
    About.TEACHER: gettext_lazy("teachers"),
    About.AGREEMENT: gettext_lazy("agreements and accounts"),
}


@dataclass(frozen=True, slots=True)
class Oddity:
    about: About
    sentence: str
    address: str
    mend: str


def oddities_of(standings: Sequence[Standing], *, at: datetime | None = None) -> list[Oddity]:
    """Those of the auditions first, then of the requirements, then of the students entered.

    Auditions come with their season. What only matters before the closing time is told of open ones alone.
    """
    now = at or timezone.now()
    ahead = [standing for standing in standings if not standing.audition.is_closed(now)]
    return [
        *(odd for standing in ahead for odd in _groups(standing)),
        *(odd for standing in standings for odd in _audition_dates(standing, now)),
        *(odd for asked in _requirements(standings, now) for odd in _requirement(*asked, now)),
        *_teachers(ahead),
        *_agreements(ahead),
    ]


def _groups(standing: Standing) -> Iterator[Oddity]:
    audition = standing.audition
    for group in standing.without_music:
        words = _("“%(audition)s”: students are entered for %(group)s, but nothing is required of them yet.")
        address = reverse("requirement_add", args=[audition.pk], query={"instrument": group.instrument})
        yield Oddity(
            About.MUSIC, words % {"audition": audition, "group": group.name}, address, _("New requirement")
        )
    for group in standing.groups if standing.entered else ():
        if not group.entries:
            words = _("“%(audition)s”: music is set for %(group)s, but nobody is entered for it.")
            yield Oddity(
                About.MUSIC,
                words % {"audition": audition, "group": group.name},
                reverse("entry_add", args=[audition.pk]),
                _("Enter students"),
            )


def _audition_dates(standing: Standing, now: datetime) -> Iterator[Oddity]:
    for sentence in _wrong_dates(standing, now):
        address = reverse("audition_edit", args=[standing.audition.pk])
        yield Oddity(About.DATES, sentence, address, _("Change the audition"))


def _wrong_dates(standing: Standing, now: datetime) -> Iterator[str]:
    audition = standing.audition
    season, closing_day = audition.season, timezone.localdate(audition.closes_at)
    words = {
        "audition": audition,
        "closes": _day(closing_day),
        "held": _day(audition.held_on),
        "start": _day(season.starts_on),
        "end": _day(season.ends_on),
    }
    if closing_day > audition.held_on:
        yield _("“%(audition)s” closes on %(closes)s, after the audition itself on %(held)s.") % words
    if not season.starts_on <= audition.held_on <= season.ends_on:
        yield _("“%(audition)s” is on %(held)s, outside the season (%(start)s to %(end)s).") % words
    if closing_day < season.starts_on:
        yield _("“%(audition)s” closes on %(closes)s, before the season begins on %(start)s.") % words
    elif audition.is_closed(now) and season.ends_on >= timezone.localdate(now) and not standing.totals.taken:
        yield _("“%(audition)s” closed on %(closes)s without a single take. Is the date right?") % words


def _requirements(standings: Sequence[Standing], now: datetime) -> Iterator[tuple[Requirement, bool]]:
    """Those of these auditions, and whether a take is in or somebody has more time for one.

    The printed music stays in the database.
    """
    wanted = Requirement.objects.filter(audition__in=[standing.audition for standing in standings])
    taken = Exists(Take.objects.counting().filter(requirement=OuterRef("pk")))
    later = Exists(KeptCell.objects.filter(requirement=OuterRef("pk"), entry__extended_until__gte=now))
    listed = wanted.annotate(has_take=taken, may_come=later).select_related("excerpt", "audition__season")
    for requirement in listed.defer("excerpt__musicxml").order_by(
        "audition__closes_at", "audition", "due_at", "pk"
    ):
        yield requirement, requirement.has_take or requirement.may_come


def _requirement(requirement: Requirement, is_in_hand: bool, now: datetime) -> Iterator[Oddity]:
    address = reverse("requirement_edit", args=[requirement.pk])
    is_open = not requirement.audition.is_closed(now)
    for sentence in _wrong_deadline(
        requirement, missed=is_open and not is_in_hand and requirement.due_at < now
    ):
        yield Oddity(About.DATES, sentence, address, _("Change the requirement"))
    if not is_open:
        return
    for sentence in _wrong_tempo(requirement):
        yield Oddity(About.TEMPO, sentence, address, _("Change the requirement"))
    if not requirement.excerpt.order_confirmed:
        sentence = _("The order of play of “%(music)s” is not confirmed yet.") % {"music": requirement}
        music = reverse("excerpt_detail", args=[requirement.excerpt_id])
        yield Oddity(About.TEMPO, sentence, music, _("Open the music"))


def _words_of(requirement: Requirement) -> dict:
    return {
        "music": requirement,
        "group": f"{instrument_name(requirement.instrument)}, {requirement.level}",
        "audition": requirement.audition,
        "due": _day(timezone.localdate(requirement.due_at)),
        "closes": _day(timezone.localdate(requirement.audition.closes_at)),
        "start": _day(requirement.audition.season.starts_on),
    }


def _wrong_deadline(requirement: Requirement, *, missed: bool) -> Iterator[str]:
    audition, words = requirement.audition, _words_of(requirement)
    if requirement.due_at > audition.closes_at:
        yield (
            _(
                "“%(music)s” (%(group)s): its deadline on %(due)s is later than the closing time of "
                "“%(audition)s” on %(closes)s."
            )
            % words
        )
    if timezone.localdate(requirement.due_at) < audition.season.starts_on:
        yield (
            _("“%(music)s” (%(group)s): its deadline on %(due)s is before the season begins on %(start)s.")
            % words
        )
    elif missed:
        yield (
            _(
                "“%(music)s” (%(group)s): its deadline passed on %(due)s without a single take. "
                "Is the date right?"
            )
            % words
        )


def _wrong_tempo(requirement: Requirement) -> Iterator[str]:
    words = {
        **_words_of(requirement),
        "bpm": short_number(requirement.marked_bpm),
        "printed": short_number(requirement.excerpt.marked_bpm),
    }
    if requirement.low_bpm == requirement.high_bpm:
        yield (
            _("“%(music)s” (%(group)s): only %(bpm)s a minute is accepted; nobody plays that exactly.")
            % words
        )
    ratio = requirement.marked_bpm / requirement.excerpt.marked_bpm
    if not 1 / ODD_TEMPO_RATIO < ratio < ODD_TEMPO_RATIO:
        yield (
            _(
                "“%(music)s” (%(group)s): %(bpm)s a minute is asked for, the music is marked %(printed)s. "
                "Is the beat unit right?"
            )
            % words
        )


def _entered(standings: Sequence[Standing]) -> StudentQuerySet:
    auditions: list[Audition] = [standing.audition for standing in standings]
    entries = Entry.objects.filter(student=OuterRef("pk"), audition__in=auditions)
    return Student.objects.filter(Exists(entries))


def _teachers(standings: Sequence[Standing]) -> Iterator[Oddity]:
    teaching = User.objects.with_role(Role.TEACHER).order_by().values("pk")
    for student in _entered(standings).exclude(teacher__in=teaching).select_related("teacher"):
        words = _("%(student)s has no teacher here: %(teacher)s does not teach in this studio any more.")
        yield _of_student(About.TEACHER, student, words % {"student": student, "teacher": student.teacher})


def _agreements(standings: Sequence[Standing]) -> Iterator[Oddity]:
    facts = _entered(standings).with_account_facts()
    not_agreed = Q(is_minor=True, consent_stands=False)
    without_account = Q(is_minor=False, user=None, student_invited=False)
    for student in facts.filter(not_agreed | without_account):
        yield _of_student(About.AGREEMENT, student, _why_not(student) % {"student": student})


def _why_not(student: Any) -> str:
    if not student.is_minor:
        return _("%(student)s has no account and is not invited yet.")
    if student.has_guardian:
        return _("%(student)s cannot hand in yet: the guardian has an account and has not agreed.")
    if student.guardian_invited:
        return _("%(student)s cannot hand in yet: the guardian is invited and has not answered.")
    if student.guardian_email:
        return _("%(student)s cannot hand in yet: the guardian is not invited.")
    return _("%(student)s cannot hand in yet: there is no guardian's mail address.")


def _of_student(about: About, student: Student, sentence: str) -> Oddity:
    return Oddity(about, sentence, reverse("student_edit", args=[student.pk]), _("Open the student"))


def _day(day: date) -> str:
    return date_format(day, _("j M Y"))
