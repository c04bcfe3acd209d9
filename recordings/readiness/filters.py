"""The filters of the readiness page: read from the address, said again in the form, applied to rows."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.db.models import QuerySet
from django.utils import timezone

from recordings.readiness.rows import STATE_WORDS, Row
from repertoire.models import instrument_choices
from studio.models import Audition, Entry, User


@dataclass(frozen=True, slots=True)
class Filters:
    """What is asked for; an unknown value counts as not asked, so an old address still opens the page."""

    visible: QuerySet[Entry]
    audition: str
    instrument: str
    teacher: str
    state: str

    @classmethod
    def read(cls, query, visible: QuerySet[Entry]) -> "Filters":
        def number(key: str) -> str:
            value = query.get(key, "")
            return value if value.isascii() and value.isdigit() and len(value) < 19 else ""

        def one_of(key: str, known) -> str:
            value = query.get(key, "")
            return value if value in known else ""

        return cls(
            visible=visible,
            audition=number("audition"),
            instrument=one_of("instrument", dict(instrument_choices())),
            teacher=number("teacher"),
            state=one_of("state", set(STATE_WORDS)),
        )

    def entries(self) -> list[Entry]:
        """The entries asked for; with no audition named, those of seasons that are not over."""
        wanted = self.visible
        if self.audition:
            wanted = wanted.filter(audition_id=int(self.audition))
        else:
            wanted = wanted.filter(audition__season__ends_on__gte=timezone.localdate())
        if self.instrument:
            wanted = wanted.filter(instrument=self.instrument)
        if self.teacher:
            wanted = wanted.filter(student__teacher_id=int(self.teacher))
        return list(wanted.select_related("student__teacher", "audition__season"))

    def with_state(self, rows: list[Row]) -> list[Row]:
        """The rows with at least one requirement in the state asked for."""
        if not self.state:
            return rows
        return [row for row in rows if any(cell.state == self.state for cell in row.cells)]

    @property
    def audition_choices(self) -> list[tuple[str, str]]:
        found = Audition.objects.filter(entries__in=self.visible).select_related("season").distinct()
        return [(str(audition.pk), f"{audition.name} ({audition.season.name})") for audition in found]

    @property
    def instrument_choices(self) -> list[tuple[str, str]]:
        used = set(self.visible.order_by().values_list("instrument", flat=True).distinct())
        return [(key, name) for key, name in instrument_choices() if key in used]

    @property
    def teacher_choices(self) -> list[tuple[str, str]]:
        found = (
            User.objects.filter(taught_students__entries__in=self.visible).distinct().order_by("name", "pk")
        )
        return [(str(teacher.pk), teacher.name) for teacher in found]

    @property
    def state_choices(self) -> list[tuple[str, str]]:
        return [(state.value, str(words)) for state, words in STATE_WORDS.items()]

    @property
    def any_set(self) -> bool:
        return any((self.audition, self.instrument, self.teacher, self.state))

    def address(self, **changed: str) -> str:
        """The query text of these filters with some of them changed."""
        asked = {key: getattr(self, key) for key in ("audition", "instrument", "teacher", "state")} | changed
        return urlencode({key: value for key, value in asked.items() if value})
