"""Setting a panel up: which takes are in it, under which codes, and who hears which in which order."""

import random
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Exists, OuterRef, Q
from django.utils import timezone
from django.utils.translation import gettext as _

from recordings.models import Panel, PanelListener, PanelSheet, PanelTake, Take
from recordings.models.take import TakeQuerySet
from recordings.panels.asked import tell_listener
from recordings.panels.sounds import request_sounds
from recordings.takes.lifetime import expired_takes
from studio.models import Audition, Consent, Entry, Handover, User

# Nothing that reads like another sign, and no vowels, so that no code becomes a word.
LETTERS, FIGURES = "BCDFGHKLMNPRTWX", "23456789"
# Below this many listeners a take is also given to its player's own teacher.
ENOUGH_LISTENERS = 2
# By a listener's account, the teachers whose students that person hears today.
StoodIn = dict[int | None, set[int]]


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Why an entry of the audition has no take in a panel, in words for the director."""

    entry: Entry
    reason: str


def entries_for(audition: Audition, instrument: str = "", level: str = ""):
    """All entries of the audition, or those of one instrument and level."""
    entries = Entry.objects.filter(audition=audition)
    return entries.filter(instrument=instrument, level=level) if instrument else entries


def takes_for(audition: Audition, instrument: str = "", level: str = "") -> TakeQuerySet:
    """The last take that counts of each entry and requirement, where it may be heard by a panel today.

    A minor's only where a guardian's agreement stands and says so; none that the season or a promise to a
    guardian lets go, and none whose sound is not what was handed in.
    """
    agreed = Consent.objects.standing_for_panels().filter(student=OuterRef("entry__student"))
    return (
        Take.objects.filter(entry__in=entries_for(audition, instrument, level))
        .latest_counting()
        .filter(Q(entry__student__is_minor=False) | Exists(agreed))
        .filter(sound_state=Take.SoundState.WHOLE)
        .exclude(pk__in=expired_takes(timezone.localdate()).values("pk"))
    )


def left_out(audition: Audition, instrument: str = "", level: str = "") -> list[LeftOut]:
    """Entries without any take in such a panel, each with its reason."""
    inside = set(takes_for(audition, instrument, level).values_list("entry_id", flat=True))
    agreed = Consent.objects.standing_for_panels().filter(student=OuterRef("student"))
    entries = entries_for(audition, instrument, level).select_related("student")
    outside = entries.exclude(pk__in=inside).annotate(agreed=Exists(agreed), recorded=Exists(_counting()))
    return [LeftOut(entry, _reason(entry)) for entry in outside.order_by("student__name", "pk")]


def _counting():
    return Take.objects.counting().filter(entry=OuterRef("pk"))


def _reason(entry) -> str:
    if entry.student.is_minor and not entry.agreed:
        return _("no guardian has agreed that a panel may hear the takes")
    if not entry.recorded:
        return _("no take that can be judged")
    return _("the take is kept no longer, or its sound is not whole")


@transaction.atomic
def draw_panel(panel: Panel, *, teachers: Iterable[User], hear_own: bool) -> Panel:
    """Store the panel with its coded takes and its listeners, and have the sounds made ready."""
    panel.save()
    takes = list(takes_for(panel.audition, panel.instrument, panel.level).order_by("pk"))
    codes = _codes(random.Random(panel.seed), len(takes))
    PanelTake.objects.bulk_create(
        PanelTake(panel=panel, take=take, code=code) for take, code in zip(takes, codes, strict=True)
    )
    for teacher in teachers:
        PanelListener.objects.create(panel=panel, user=teacher, hears_own=hear_own)
    deal(panel)
    for listener in panel.listeners.select_related("user", "panel"):
        tell_listener(listener)
    request_sounds(panel)
    return panel


def _codes(dice: random.Random, count: int) -> list[str]:
    """Drawn by lot, so that they tell nothing of the order in which takes were handed in."""
    every = [f"{letter}{first}{second}" for letter in LETTERS for first in FIGURES for second in FIGURES]
    more = [code + letter for code in every for letter in LETTERS] if count > len(every) else []
    return dice.sample(every + more, count)


@transaction.atomic
def deal(panel: Panel) -> None:
    """Give every listener a sheet for each take that is theirs to hear, new ones in an order of their own.

    A teacher knows the own students' playing, and those handed over for now, so it is nothing that could be
    judged blind: they are not dealt to that teacher as long as enough others hear them. What is dealt stays,
    with what was written.
    """
    # A guest who has not come yet hears nothing, and does not count as one of those who do.
    here = panel.listeners.filter(user__isnull=False)
    listeners = list(here.select_for_update(of=("self",)))
    with_students = panel.takes.select_related("take__entry__student")
    takes = list(with_students.prefetch_related("take__entry__student__guardianships").order_by("pk"))
    away = _teachers_stood_in_for()
    dealt = set(PanelSheet.objects.filter(listener__panel=panel).values_list("listener", "panel_take"))
    for listener in listeners:
        fresh = [
            take
            for take in takes
            if (listener.pk, take.pk) not in dealt and is_to_hear(listener, take, listeners, away)
        ]
        random.Random(f"{panel.seed}:{listener.pk}").shuffle(fresh)
        first = listener.sheets.count()
        PanelSheet.objects.bulk_create(
            PanelSheet(listener=listener, panel_take=take, position=first + number)
            for number, take in enumerate(fresh)
        )


def is_to_hear(
    listener: PanelListener, take: PanelTake, listeners: list[PanelListener], away: StoodIn
) -> bool:
    """Whether this listener hears it: not where it is an own student's and enough others are there."""
    if listener.hears_own or not _is_own(listener, take, away):
        return True
    others = [other for other in listeners if other.hears_own or not _is_own(other, take, away)]
    return len(others) < ENOUGH_LISTENERS


def _teachers_stood_in_for() -> StoodIn:
    found: StoodIn = defaultdict(set)
    for colleague, teacher in Handover.objects.standing().values_list("colleague", "teacher"):
        found[colleague].add(teacher)
    return found


def _is_own(listener: PanelListener, take: PanelTake, away: StoodIn) -> bool:
    """Taught by the listener or by whom the listener stands in for; the listener's own child or self."""
    student = take.take.entry.student
    guardians = {tie.guardian_id for tie in student.guardianships.all()}
    teaches = {listener.user_id} | away.get(listener.user_id, set())
    return student.teacher_id in teaches or listener.user_id in guardians | {student.user_id}
