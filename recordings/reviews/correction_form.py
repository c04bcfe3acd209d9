"""What a teacher types into the form that sets a measurement right: read, checked, and nothing of it lost."""

import re
from dataclasses import dataclass, field

from django.http import QueryDict
from django.utils.translation import gettext as _

from recordings.models import Take
from recordings.reviews.form import whole_number
from recordings.takes.correcting import Said
from repertoire.notation.order.order_line import LONGEST_LINE, parse_order
from repertoire.notation.score import BadScore
from repertoire.wording.words import words

OTHER = "other"  # the choice that goes with a line of one's own
MOST_LINES = 200  # bar lines and notes: more is not done by hand
_PASS = re.compile(r"^[1-9][0-9]{0,3}$")  # the time a bar comes, counted from 1
_CLOCK = re.compile(r"^(?:(?P<minutes>\d{1,3}):)?(?P<seconds>\d{1,4}(?:[.,]\d{1,3})?)$")


def typed_time(typed: str) -> float | None:
    """Seconds of "1:23.4" or "83,4"; None where nothing was typed. Raises ValueError for anything else."""
    if not typed.strip():
        return None
    found = _CLOCK.match(typed.strip())
    if found is None:
        raise ValueError(typed)
    return 60.0 * int(found["minutes"] or 0) + float(found["seconds"].replace(",", "."))


def time_text(seconds: float | None) -> str:
    """As `typed_time` reads it: 83.4 is "1:23.40"."""
    if seconds is None:
        return ""
    minutes, rest = divmod(round(seconds, 2), 60)
    return f"{int(minutes)}:{rest:05.2f}"


@dataclass(frozen=True)
class TypedLine:
    """One bar line as it was typed; `bar` as "measure_id|time it comes"."""

    bar: str
    at: str


@dataclass
class CorrectionForm:
    """`errors` by field: begins, ends, order_line, lines, and edition for what is no field's."""

    take: Take
    edition: int | None
    begins: str = ""
    ends: str = ""
    order: str = ""
    order_line: str = ""
    lines: tuple[TypedLine, ...] = ()
    right: tuple[str, ...] = ()
    errors: dict[str, str] = field(default_factory=dict)

    @classmethod
    def from_post(cls, take: Take, posted: QueryDict) -> "CorrectionForm":
        pairs = zip(posted.getlist("line")[:MOST_LINES], posted.getlist("line_at"), strict=False)
        return cls(
            take,
            whole_number(posted.get("correction_edition")),
            posted.get("begins", "")[:20],
            posted.get("ends", "")[:20],
            posted.get("order", "")[:LONGEST_LINE],
            posted.get("order_line", "")[:LONGEST_LINE],
            tuple(TypedLine(bar[:80], at[:20]) for bar, at in pairs),
            tuple(posted.getlist("right")[:MOST_LINES]),
        )

    def said(self) -> Said:
        """What is to be kept; look at `errors` first, which this fills."""
        begins, ends = self._time("begins", self.begins), self._time("ends", self.ends)
        if begins is not None and ends is not None and ends <= begins:
            self.errors["ends"] = _("The take must end after it begins.")
        return Said(begins, ends, self._order(), self._lines(), self._right())

    def _time(self, name: str, typed: str) -> float | None:
        try:
            seconds = typed_time(typed)
        except ValueError:
            self.errors[name] = _("Please give a time such as 1:23.4.")
            return None
        whole_s = self.take.analysis.duration_s
        if seconds is not None and whole_s is not None and seconds > whole_s:
            self.errors[name] = _("The recording is shorter than that.")
        return seconds

    def _order(self) -> str:
        line = self.order_line if self.order == OTHER else self.order
        if not line.strip() and self.order != OTHER:
            return ""
        try:
            parse_order(self.take.requirement.excerpt.score, line)
        except BadScore as error:
            self.errors["order_line"] = words(error.sentence)
        return line.strip()

    def _lines(self) -> list[dict]:
        """In the order of time; a line without a time is taken back."""
        printed = {m.measure_id: m.number for m in self.take.requirement.excerpt.score.measures}
        lines: dict[str, dict] = {}
        for line in self.lines:
            measure, _sign, number = line.bar.rpartition("|")
            if measure not in printed or not _PASS.match(number):
                continue
            try:
                at = typed_time(line.at)
            except ValueError:
                self.errors["lines"] = _("Please give a time such as 1:23.4 for bar %(bar)s.") % {
                    "bar": printed[measure]
                }
                continue
            if at is not None:
                bar = {"measure_id": measure, "bar": printed[measure], "pass": int(number), "time_s": at}
                lines[line.bar] = bar
        return sorted(lines.values(), key=lambda line: line["time_s"])

    def _right(self) -> list[dict]:
        score = self.take.requirement.excerpt.score
        bars = {note.note_id: score.measures[note.measure_index].number for note in score.notes}
        pairs = [(note, number) for note, _sign, number in (one.rpartition("|") for one in self.right)]
        return [
            {"note_id": note, "bar": bars[note], "pass": int(number)}
            for note, number in dict.fromkeys(pairs)
            if note in bars and _PASS.match(number)
        ]
