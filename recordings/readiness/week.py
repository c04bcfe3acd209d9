"""The lines of "This week": each a sentence about one person and the one thing to do about it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from recordings.readiness.rules import readiness
from recordings.readiness.week_rows import NeedyCell, NeedyStudent, needs_of
from recordings.readiness.week_rules import TAKES_COMPARED, UNANSWERED_AFTER, Need, StudentFacts
from studio.models import Invitation, Role, User

NEED_WORDS = {
    Need.OVERDUE: gettext_lazy("Overdue, no take is in"),
    Need.DUE: gettext_lazy("Due within seven days, no take is in"),
    Need.AGREEMENT: gettext_lazy("No guardian has agreed yet"),
    Need.INVITATION: gettext_lazy("Invited and not there yet"),
    Need.UNHEARD: gettext_lazy("Unheard for three days or longer"),
    Need.SILENT: gettext_lazy("No take for ten days"),
    Need.CHASING: gettext_lazy("Faster and faster, fewer notes right"),
    Need.CLOSE: gettext_lazy("Close to ready"),
}

_CELL_SENTENCES = {
    Need.OVERDUE: gettext_lazy("“%(music)s” for %(audition)s was due on %(due)s."),
    Need.DUE: gettext_lazy("“%(music)s” for %(audition)s is due on %(due)s."),
    Need.UNHEARD: gettext_lazy("“%(music)s” was handed in on %(handed_in)s and is not answered yet."),
    Need.CHASING: gettext_lazy(
        "“%(music)s”: the last three takes went at %(tempos)s, with %(shares)s percent of the notes right."
    ),
    Need.CLOSE: gettext_lazy("“%(music)s” for %(audition)s: %(reason)s"),
}


@dataclass(frozen=True, slots=True)
class Line:
    """`invites` names whom its button invites; without it the action is a link to `address`."""

    need: Need
    name: str
    sentence: str
    action: str
    address: str
    since: datetime
    invites: str = ""

    @property
    def need_words(self) -> str:
        return str(NEED_WORDS[self.need])


def lines_for(user: User, *, at: datetime | None = None) -> list[Line]:
    """For a director of everybody, for a teacher of the own students; by kind, the longest waiting first."""
    now = at or timezone.now()
    cells, students = needs_of(user, now)
    lines = [
        *map(_of_cell, cells),
        *(_of_student(needy, may_invite=user.is_director) for needy in students),
        *(_of_staff(now) if user.is_director else ()),
    ]
    order = list(Need)
    return sorted(lines, key=lambda line: (order.index(line.need), line.since, line.name))


def _of_cell(needy: NeedyCell) -> Line:
    facts, takes = needy.facts, needy.takes[:TAKES_COMPARED][::-1]
    words = {
        "music": needy.requirement.excerpt.title,
        "audition": needy.entry.audition.name,
        "due": _day(facts.due_at),
        "handed_in": _day(facts.take_uploaded_at) if facts.take_uploaded_at else "",
        "tempos": ", ".join(str(round(take.bpm)) for take in takes),
        "shares": ", ".join(str(round(100 * (take.right or 0))) for take in takes),
        "reason": readiness(facts).reasons[0],
    }
    action, address = _cell_action(needy)
    since = facts.take_uploaded_at or facts.due_at
    sentence = str(_CELL_SENTENCES[needy.need]) % words
    return Line(needy.need, needy.entry.student.name, sentence, action, address, since)


def _cell_action(needy: NeedyCell) -> tuple[str, str]:
    if needy.need is Need.UNHEARD:
        return _("Hear it"), reverse("review", args=[needy.take_id])
    cell = reverse("requirement_takes", args=[needy.entry.pk, needy.requirement.pk])
    return (_("Open the takes") if needy.take_id else _("Open the requirement")), cell


def _of_student(needy: NeedyStudent, *, may_invite: bool) -> Line:
    student, facts = needy.student, needy.facts
    invites = _whom_to_invite(needy) if may_invite else ""
    if invites:
        action = _("Invite the guardian") if invites == Role.GUARDIAN else _("Invite the student")
        address = reverse("student_invite", args=[student.pk])
    else:
        page = "student_edit" if may_invite and needy.need is not Need.SILENT else "student_page"
        action, address = _("Open the student"), reverse(page, args=[student.pk])
    sentence, since = _of_silent(facts) if needy.need is Need.SILENT else _of_account(needy)
    return Line(needy.need, student.name, sentence, action, address, since, invites)


def _of_silent(facts: StudentFacts) -> tuple[str, datetime]:
    last = facts.last_take_at
    if last and last >= facts.since:
        return _("The last take came on %(day)s.") % {"day": _day(last)}, last
    return _("No take has come since %(day)s.") % {"day": _day(facts.since)}, facts.since


def _of_account(needy: NeedyStudent) -> tuple[str, datetime]:
    """What keeps this student from handing in, and since when that is known."""
    facts = needy.facts
    if needy.need is Need.INVITATION and not facts.may_record and facts.guardian_invited_at:
        words = _("The guardian was invited on %(day)s and has not come yet.")
        return words % {"day": _day(facts.guardian_invited_at)}, facts.guardian_invited_at
    if needy.need is Need.INVITATION and facts.student_invited_at:
        words = _("Invited on %(day)s and not here yet.")
        return words % {"day": _day(facts.student_invited_at)}, facts.student_invited_at
    if facts.has_guardian:
        return _("A guardian has an account and has not agreed yet."), facts.since
    if needy.student.guardian_email:
        return _("The guardian is not invited yet."), facts.since
    return _("There is no guardian's mail address yet."), facts.since


def _whom_to_invite(needy: NeedyStudent) -> str:
    """Whom one click invites; nobody where there is no address or somebody is there to be spoken to."""
    student, facts = needy.student, needy.facts
    if needy.need is Need.SILENT:
        return ""
    if facts.may_record:
        return Role.STUDENT if student.email else ""
    return Role.GUARDIAN if student.guardian_email and not facts.has_guardian else ""


def _of_staff(now: datetime) -> Iterator[Line]:
    waiting = Invitation.objects.open(now).filter(student=None, invited_at__lte=now - UNANSWERED_AFTER)
    for invitation in waiting:
        sentence = _("Invited on %(day)s and not here yet.") % {"day": _day(invitation.invited_at)}
        yield Line(
            Need.INVITATION,
            invitation.name,
            sentence,
            _("Open the invitations"),
            reverse("people"),
            invitation.invited_at,
        )


def _day(at: datetime) -> str:
    return date_format(timezone.localtime(at), _("j M Y"))
