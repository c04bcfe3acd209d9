"""How far an audition and a season are set up: counts by instrument and level, and the next step.

Nothing here is stored. Three queries, whatever the number of auditions, students and takes; what is counted
is counted in the database.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields

from django.db.models import Count, Exists, OuterRef, Q, QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from recordings.models import Dispatch, KeptCell
from repertoire.wording.instruments import instrument_name
from studio.models import Audition, Consent, Entry, Requirement, Season, SendingRules


@dataclass(slots=True)
class Group:
    """One instrument and level of an audition; takes and answers are counted by student and requirement."""

    instrument: str
    level: str
    requirements: int = 0
    entries: int = 0
    agreed: int = 0
    taken: int = 0
    answered: int = 0
    # Entries sent off, of those whose audition has rules for sending.
    sent: int = 0
    to_send: int = 0
    # Entries that have more time, and still have it.
    extended: int = 0

    @property
    def name(self) -> str:
        return f"{instrument_name(self.instrument)}, {self.level}"

    @property
    def cells(self) -> int:
        return self.entries * self.requirements


@dataclass(frozen=True, slots=True)
class Totals:
    """The same of several groups together."""

    requirements: int
    entries: int
    agreed: int
    cells: int
    taken: int
    answered: int
    sent: int
    to_send: int


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the checklist; without `of` it is done as soon as there is one."""

    words: str
    done: int
    of: int | None = None

    @property
    def is_done(self) -> bool:
        return self.done > 0 if self.of is None else 0 < self.of <= self.done


@dataclass(frozen=True, slots=True)
class NextStep:
    sentence: str
    address: str
    link: str


@dataclass(frozen=True, slots=True)
class Standing:
    """One audition as far as it is set up."""

    audition: Audition
    groups: tuple[Group, ...]

    @property
    def totals(self) -> Totals:
        return totals_of(self.groups)

    @property
    def entered(self) -> tuple[Group, ...]:
        return tuple(group for group in self.groups if group.entries)

    @property
    def without_music(self) -> tuple[Group, ...]:
        return tuple(group for group in self.entered if not group.requirements)

    @property
    def steps(self) -> list[Step]:
        return steps_of([self])

    @property
    def next_step(self) -> NextStep | None:
        """What the director does next; nothing once the audition has closed or all is answered."""
        is_closed = self.audition.is_closed() and not any(group.extended for group in self.groups)
        return None if is_closed else _next_step(self)


def standings_of(auditions: Iterable[Audition]) -> list[Standing]:
    """One for each audition, in their order, its groups by instrument and level."""
    auditions = list(auditions)
    groups: dict[tuple[int, str, str], Group] = {}
    for counted in (_requirements(auditions), _entries(auditions), _takes(auditions)):
        for audition, instrument, level, numbers in counted:
            group = groups.setdefault((audition, instrument, level), Group(instrument, level))
            for name, number in numbers.items():
                setattr(group, name, number)
    return [
        Standing(audition, tuple(groups[key] for key in sorted(groups) if key[0] == audition.pk))
        for audition in auditions
    ]


def totals_of(groups: Sequence[Group]) -> Totals:
    return Totals(
        *(sum(getattr(group, column.name) for group in groups) for column in fields(Totals)),
    )


def steps_of(standings: Sequence[Standing]) -> list[Step]:
    """The checklist of one audition, or of several together."""
    entered = sum(len(standing.entered) for standing in standings)
    without = sum(len(standing.without_music) for standing in standings)
    all_of = totals_of([group for standing in standings for group in standing.groups])
    steps = [
        Step(_("Requirements set"), all_of.requirements),
        Step(_("Entries made"), all_of.entries),
        Step(_("Instruments and levels that have their music"), entered - without, entered),
        Step(_("Entries with a guardian's agreement, or of age"), all_of.agreed, all_of.entries),
        Step(_("First takes handed in"), all_of.taken, all_of.cells),
        Step(_("Latest takes answered"), all_of.answered, all_of.taken),
    ]
    if all_of.to_send:
        steps.append(Step(_("Entries sent off"), all_of.sent, all_of.to_send))
    return steps


def season_steps(standings: Sequence[Standing]) -> list[Step]:
    return [Step(_("Auditions"), len(standings)), *steps_of(standings)]


def season_next_step(
    season: Season, standings: Sequence[Standing]
) -> tuple[Audition | None, NextStep | None]:
    """The next step of the first audition that still has one, with that audition."""
    if not standings:
        address = reverse("audition_add", args=[season.pk])
        return None, NextStep(_("Add the first audition of this season."), address, _("New audition"))
    steps = ((standing.audition, standing.next_step) for standing in standings)
    return next((found for found in steps if found[1]), (None, None))


def _next_step(standing: Standing) -> NextStep | None:
    pk, totals = standing.audition.pk, standing.totals
    if not totals.requirements:
        address = reverse("requirement_add", args=[pk])
        return NextStep(_("Set what is to be played."), address, _("New requirement"))
    if not totals.entries:
        return NextStep(
            _("Enter the students who take part."), reverse("entry_add", args=[pk]), _("Enter students")
        )
    if standing.without_music:
        group = standing.without_music[0]
        address = reverse("requirement_add", args=[pk], query={"instrument": group.instrument})
        sentence = _("Set what is to be played for %(group)s.") % {"group": group.name}
        return NextStep(sentence, address, _("New requirement"))
    return _once_set_up(standing)


def _once_set_up(standing: Standing) -> NextStep | None:
    pk, totals = standing.audition.pk, standing.totals
    if missing := totals.entries - totals.agreed:
        words = ngettext(
            "%(count)d entry still lacks a guardian's agreement.",
            "%(count)d entries still lack a guardian's agreement.",
            missing,
        )
        address = reverse("audition_set_up", args=[pk], query={"about": "agreement"}, fragment="odd")
        return NextStep(words % {"count": missing}, address, _("See who"))
    if missing := totals.cells - totals.taken:
        words = ngettext(
            "%(count)d first take is still to come.", "%(count)d first takes are still to come.", missing
        )
        address = reverse("readiness", query={"audition": pk})
        return NextStep(words % {"count": missing}, address, _("See who"))
    if waiting := totals.taken - totals.answered:
        words = ngettext(
            "%(count)d take waits for an answer.", "%(count)d takes wait for an answer.", waiting
        )
        return NextStep(words % {"count": waiting}, reverse("review_queue"), _("Takes to hear"))
    if missing := totals.to_send - totals.sent:
        words = ngettext(
            "%(count)d entry is still to be sent off.", "%(count)d entries are still to be sent off.", missing
        )
        return NextStep(words % {"count": missing}, reverse("audition_sending", args=[pk]), _("Sending off"))
    return None


Counted = Iterable[tuple[int, str, str, dict[str, int]]]


def _counted(rows: QuerySet, by: tuple[str, str, str], **counts: Count) -> Counted:
    for audition, instrument, level, *numbers in (
        rows.order_by().values(*by).annotate(**counts).values_list(*by, *counts)
    ):
        yield audition, instrument, level, dict(zip(counts, numbers, strict=True))


def _requirements(auditions: Sequence[Audition]) -> Counted:
    asked = Requirement.objects.filter(audition__in=auditions)
    return _counted(asked, ("audition", "instrument", "level"), requirements=Count("pk"))


def _entries(auditions: Sequence[Audition]) -> Counted:
    standing = Consent.objects.filter(student=OuterRef("student"), withdrawn_at=None)
    entries = Entry.objects.filter(audition__in=auditions).annotate(consent_stands=Exists(standing))
    entries = entries.annotate(
        is_sent=Exists(Dispatch.objects.standing().filter(entry=OuterRef("pk"))),
        has_rules=Exists(SendingRules.objects.filter(audition=OuterRef("audition"))),
    )
    may_record = Q(consent_stands=True) | Q(student__is_minor=False)
    return _counted(
        entries,
        ("audition", "instrument", "level"),
        entries=Count("pk"),
        agreed=Count("pk", filter=may_record),
        sent=Count("pk", filter=Q(is_sent=True, has_rules=True)),
        to_send=Count("pk", filter=Q(has_rules=True)),
        extended=Count("pk", filter=Q(extended_until__gte=timezone.now())),
    )


def _takes(auditions: Sequence[Audition]) -> Counted:
    return _counted(
        KeptCell.objects.filter(entry__audition__in=auditions, latest_at__isnull=False),
        ("entry__audition", "entry__instrument", "entry__level"),
        taken=Count("pk"),
        answered=Count("pk", filter=Q(latest_answer=KeptCell.RELEASED)),
    )
