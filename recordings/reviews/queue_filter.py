"""What a teacher's queue shows and in which order: read from the address, kept in it, applied to takes."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from urllib.parse import urlencode

from django.db.models import Q
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from recordings.models import Take
from recordings.models.take import TakeQuerySet
from repertoire.models import instrument_choices
from studio.models import Audition, User
from studio.models.student import handed_to

ORDERS = {
    "": (_("closing first"), ("requirement__due_at", "uploaded_at", "pk")),
    "waiting": (_("waiting longest"), ("uploaded_at", "pk")),
    "student": (_("student by student"), ("entry__student__name", "requirement__due_at", "pk")),
}
WHOSE = {"": _("all"), "own": _("own students"), "handed": _("handed over to me")}


_NUMBER = re.compile(r"^[0-9]{1,18}$")  # as long as a row's number can be


@dataclass(frozen=True, slots=True)
class QueueFilter:
    """A value nobody offers is as good as none, so that an old address still opens the page."""

    instrument: str = ""
    audition: int | None = None
    whose: str = ""
    sort: str = ""

    @classmethod
    def of(cls, asked: QueryDict) -> "QueueFilter":
        instrument = asked.get("instrument", "")
        audition, whose, sort = asked.get("audition", ""), asked.get("whose", ""), asked.get("sort", "")
        return cls(
            instrument=instrument if instrument in dict(instrument_choices()) else "",
            audition=int(audition) if _NUMBER.match(audition) else None,
            whose=whose if whose in WHOSE else "",
            sort=sort if sort in ORDERS else "",
        )

    @property
    def query(self) -> str:
        """What follows in an address, with its question mark; empty where nothing is asked."""
        asked = {
            "instrument": self.instrument,
            "audition": self.audition,
            "whose": self.whose,
            "sort": self.sort,
        }
        given = {name: value for name, value in asked.items() if value}
        return f"?{urlencode(given)}" if given else ""

    def waiting(self, user: User) -> TakeQuerySet:
        """The takes this person is to answer, of those asked for, in the order asked for."""
        takes = Take.objects.to_review_by(user).awaiting_review()
        if self.instrument:
            takes = takes.filter(requirement__instrument=self.instrument)
        if self.audition:
            takes = takes.filter(entry__audition=self.audition)
        if self.whose == "own":
            takes = takes.filter(entry__student__teacher=user)
        if self.whose == "handed":
            takes = takes.filter(entry__student__in=handed_to(user))
        return takes.order_by(*ORDERS[self.sort][1])

    def after(self, take: Take, user: User) -> Take | None:
        """The first of them beside this one, which may be gone from them by now."""
        waiting = self.waiting(user).exclude(pk=take.pk)
        return (
            waiting.select_related("entry__student", "requirement__excerpt")
            .only("entry__student__name", "requirement__excerpt__title")
            .first()
        )

    def choices(self, user: User) -> list["Choice"]:
        """The fields of the form in which there is something to choose; in three queries."""
        waiting = Take.objects.to_review_by(user).awaiting_review().order_by()
        used = set(waiting.values_list("requirement__instrument", flat=True).distinct()) | {self.instrument}
        auditions = Audition.objects.filter(Q(entries__takes__in=waiting) | Q(pk=self.audition)).distinct()
        instruments = [("", _("all")), *((key, name) for key, name in instrument_choices() if key in used)]
        named = [("", _("all")), *((str(one.pk), one.name) for one in auditions)]
        orders = [(key, words) for key, (words, _by) in ORDERS.items()]
        fields = [
            Choice("instrument", _("Instrument"), instruments, self.instrument),
            Choice("audition", _("Audition"), named, str(self.audition or "")),
            Choice("whose", _("Students"), list(WHOSE.items()), self.whose),
            Choice("sort", _("Order"), orders, self.sort),
        ]
        return [field for field in fields if field.chosen or field.tells_apart(handed_to(user).exists)]


@dataclass(frozen=True, slots=True)
class Choice:
    name: str
    label: object
    options: list
    chosen: str

    def tells_apart(self, has_handed: Callable[[], bool]) -> bool:
        """Whether there is anything to choose: more than "all" and one, or students of others."""
        return has_handed() if self.name == "whose" else len(self.options) > 2
