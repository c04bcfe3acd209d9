"""Who signs or has heard what is sent, and whether that still holds for the takes chosen now."""

from collections.abc import Iterable, Sequence

from django.utils.translation import gettext as _

from recordings.models import Statement
from recordings.sending.checks import asks_guardian, asks_to_listen
from recordings.sending.choice import Choice
from studio.access import may_teach
from studio.models import Entry, Student, User
from studio.sending.rules import Rules

Kind = Statement.Kind


def recordings_of(choices: Sequence[Choice]) -> list[str]:
    return sorted({choice.take.sha256 for choice in choices if choice.take})


def wordings(rules: Rules, *, is_minor: bool) -> dict[str, str]:
    """What is signed or heard, by kind; only what these rules ask."""
    asked = {}
    if asks_to_listen(rules):
        asked[Kind.HEARD.value] = _("I have listened to what is sent from beginning to end.")
    if rules.student_statement:
        asked[Kind.STUDENT.value] = rules.student_statement
    if asks_guardian(rules, is_minor=is_minor):
        asked[Kind.GUARDIAN.value] = rules.guardian_statement
    return asked


def kinds_for(user: User, entry: Entry) -> set[str]:
    """A guardian signs for a child that has no account of its own as well."""
    student = entry.student
    heard = {Kind.HEARD.value} if may_teach(user, student) else set()
    is_guardian = student.guardianships.filter(guardian=user).exists()
    return heard | kinds_to_sign(user, student, is_guardian=is_guardian)


def kinds_to_sign(user: User, student: Student, *, is_guardian: bool) -> set[str]:
    """What the student and a guardian sign themselves."""
    kinds = {Kind.GUARDIAN.value} if is_guardian else set()
    if student.user_id == user.pk or (is_guardian and student.user_id is None):
        kinds.add(Kind.STUDENT.value)
    return kinds


def standing(
    statements: Iterable[Statement], choices: Sequence[Choice], rules: Rules
) -> dict[str, Statement]:
    """The latest of each kind that is about the recordings chosen now and in the words asked now."""
    now = recordings_of(choices)
    signed = {Kind.STUDENT.value: rules.student_statement, Kind.GUARDIAN.value: rules.guardian_statement}
    return {
        each.kind: each
        for each in statements
        if each.recordings == now and each.wording == signed.get(each.kind, each.wording)
    }
