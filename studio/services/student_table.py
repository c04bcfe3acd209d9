"""Students as lines of a table: what each line would do, and doing it.

A student is known again by name and instrument together with a mail address. Where only a part agrees, the
person is asked, so that running a table again updates and never doubles. An empty cell changes nothing.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repertoire.notation.instruments import INSTRUMENTS
from studio.forms.people import StudentForm
from studio.models import Role, Student, User
from studio.services.invitations import withdraw_to_former_addresses
from studio.services.table_file import Line, Table, as_csv

COLUMNS = {
    "name": gettext_lazy("name"),
    "instrument": gettext_lazy("instrument"),
    "level": gettext_lazy("level"),
    "teacher": gettext_lazy("teacher"),
    "email": gettext_lazy("student's mail address"),
    "is_minor": gettext_lazy("is a minor"),
    "guardian_email": gettext_lazy("guardian's mail address"),
}
NEEDED = ("name", "instrument", "level", "teacher")
YES, NO = {"yes", "y", "true", "1", "x", "ja"}, {"no", "n", "false", "0", "nein"}
OTHER = "other"
NEW, CHANGED, SAME = "new", "changed", "same"


@dataclass
class Step:
    """What one line would do: `does` is NEW, CHANGED or SAME, and None while a problem or question stands."""

    line: Line
    values: dict[str, str]
    instrument: str = ""
    problems: list[str] = field(default_factory=list)
    alike: list[Student] = field(default_factory=list)
    does: str | None = None
    form: StudentForm | None = None


def likely_columns(headings: tuple[str, ...]) -> dict[str, int]:
    """Which heading stands for which column: as exported, or as the column is called on screen."""
    seen = {heading.casefold(): place for place, heading in reversed(list(enumerate(headings)))}
    names = {key: (key, key.replace("_", " "), str(label).casefold()) for key, label in COLUMNS.items()}
    return {key: seen[name] for key, called in names.items() for name in called if name in seen}


class StudentTable:
    """Checks every line against the students there are; nothing is written before `save`."""

    def __init__(self, table: Table, columns: Mapping[str, int], answers: Mapping[int, str]) -> None:
        self.columns = columns
        self.answers = answers
        self._by_name: dict[tuple[str, str], list[Student]] = defaultdict(list)
        self._by_mail: dict[tuple[str, str], list[Student]] = defaultdict(list)
        for student in Student.objects.select_related("teacher"):
            self._by_name[student.name.casefold(), student.instrument].append(student)
            if student.email:
                self._by_mail[student.email.casefold(), student.instrument].append(student)
        self._teachers: dict[str, list[User]] = defaultdict(list)
        for teacher in User.objects.with_role(Role.TEACHER):
            for word in {teacher.name.casefold(), teacher.email.casefold()}:
                self._teachers[word].append(teacher)
        self._levels: dict[str, str] = {}
        self._taken: dict[Any, int] = {}
        self.steps = [self._step(line) for line in table.lines]

    @property
    def sound(self) -> list[Step]:
        return [step for step in self.steps if step.does]

    def count(self, does: str | None) -> int:
        return sum(step.does == does for step in self.steps)

    @transaction.atomic
    def save(self) -> None:
        for step in self.sound:
            if step.form and step.does != SAME:
                withdraw_to_former_addresses(step.form.save())

    def _step(self, line: Line) -> Step:
        cells = {key: line.cells[place] for key, place in self.columns.items() if place < len(line.cells)}
        step = Step(line, {key: cells.get(key, "") for key in COLUMNS})
        data = self._translated(step)
        student = None if step.problems else self._known(step)
        if step.problems or step.alike:
            return step
        before = _values(student) if student else {"is_minor": True}
        step.form = StudentForm(
            before | {key: value for key, value in data.items() if value != ""}, instance=student or Student()
        )
        for name, errors in step.form.errors.items():
            label = COLUMNS.get(name)
            step.problems += [f"{label}: {error}" if label else str(error) for error in errors]
        self._note_twice(step, student)
        if not step.problems:
            step.does = NEW if student is None else CHANGED if _values(step.form.instance) != before else SAME
        return step

    def _translated(self, step: Step) -> dict[str, Any]:
        """The line as the student's own form takes it; what cannot be read becomes a problem."""
        data: dict[str, Any] = dict(step.values)
        data["instrument"] = step.instrument = self._instrument(step)
        data["teacher"] = self._teacher(step)
        data["level"] = self._levels.setdefault(data["level"].casefold(), data["level"])
        minor = step.values["is_minor"].casefold()
        data["is_minor"] = "" if not minor else minor in YES
        if minor and minor not in YES | NO:
            step.problems.append(_("“Is a minor” is answered by yes or no; an empty cell means yes."))
        return data

    def _instrument(self, step: Step) -> str:
        typed = step.values["instrument"].casefold()
        for key, instrument in INSTRUMENTS.items():
            if typed in (key.casefold(), instrument.name.casefold()):
                return key
        if typed:
            step.problems.append(_("“%s” is no instrument known here.") % step.values["instrument"])
        else:
            step.problems.append(_("The instrument is missing."))
        return ""

    def _teacher(self, step: Step) -> Any:
        typed = step.values["teacher"]
        found = self._teachers.get(typed.casefold(), [])
        if typed and not found:
            step.problems.append(_("No teacher is called “%s”. Invite them under People first.") % typed)
        if len(found) > 1:
            step.problems.append(_("Two teachers are called “%s”; write the mail address instead.") % typed)
        return found[0].pk if len(found) == 1 else ""

    def _known(self, step: Step) -> Student | None:
        """The student this line is about; where that is not certain, `alike` holds who it may be."""
        values = step.values
        named = self._by_name[values["name"].casefold(), step.instrument]
        mailed = self._by_mail[values["email"].casefold(), step.instrument] if values["email"] else []
        alike = list({student.pk: student for student in [*named, *mailed]}.values())
        answer = self.answers.get(step.line.number)
        if answer == OTHER or not alike:
            return None
        certain = [student for student in named if _same_mail(student, values)]
        chosen = [student for student in alike if str(student.pk) == answer] or certain
        if len(chosen) != 1:
            step.alike = alike
            return None
        return chosen[0]

    def _note_twice(self, step: Step, student: Student | None) -> None:
        values = step.values
        mails = (values["email"].casefold(), values["guardian_email"].casefold())
        who = student.pk if student else (values["name"].casefold(), step.instrument, *mails)
        first = self._taken.setdefault(who, step.line.number)
        if first != step.line.number:
            step.problems.append(_("This is the student of line %d once more.") % first)


def _same_mail(student: Student, values: Mapping[str, str]) -> bool:
    """One address in common, or none given on either side that could tell two people apart."""
    own, guardian = values["email"].casefold(), values["guardian_email"].casefold()
    if own and own == student.email.casefold():
        return True
    if guardian and guardian == student.guardian_email.casefold():
        return True
    return not (own or guardian or student.email or student.guardian_email)


def _values(student: Student) -> dict[str, Any]:
    plain = ("name", "instrument", "level", "email", "is_minor", "guardian_email")
    return {key: getattr(student, key) for key in plain} | {"teacher": student.teacher_id}


def exported() -> str:
    """Every student in the columns an import takes."""
    students = Student.objects.select_related("teacher").iterator()
    return as_csv(
        [
            list(COLUMNS),
            *(
                [
                    student.name,
                    INSTRUMENTS[student.instrument].name,
                    student.level,
                    student.teacher.email,
                    student.email,
                    "yes" if student.is_minor else "no",
                    student.guardian_email,
                ]
                for student in students
            ),
        ]
    )
