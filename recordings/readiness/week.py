"""The lines of "This week": each a sentence about one person and the one thing to do about it."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from recordings.readiness.rules import readiness
from recordings.readiness.week_cells import NeedyCell
from recordings.readiness.week_rows import NeedyStudent, needs_of
from recordings.readiness.week_rules import TAKES_COMPARED, UNANSWERED_AFTER, Need, StudentFacts
from studio.models import DeletionRequest, Invitation, Role, User

NEED_WORDS = {
    Need.DELETION: gettext_lazy("A family asks for deletion"),
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

_REMINDED = (Need.OVERDUE, Need.DUE)


@dataclass(frozen=True, slots=True)
class Line:
    """The action is a link to `address`, or a button where it `posts`; `who` is whom it invites."""

    need: Need
    name: str
    sentence: str
    action: str
    address: str
    student_id: int | None = None
    posts: bool = False
    who: str = ""

    @property
    def need_words(self) -> str:
        return str(NEED_WORDS[self.need])


@dataclass(frozen=True, slots=True)
class Matter:
    """What needs somebody, in order; `line` makes the words, of those that are shown."""

    need: Need
    name: str
    since: datetime
    line: Callable[[], Line]


def matters_for(user: User, *, at: datetime | None = None) -> list[Matter]:
    """For a director of everybody, for a teacher of the own students; by kind, the longest waiting first."""
    now = at or timezone.now()
    cells, students = needs_of(user, now)
    matters = [
        *(Matter(one.need, one.entry.student.name, _since(one), partial(_of_cell, one)) for one in cells),
        *(_about_student(one, may_invite=user.is_director) for one in students),
        *(_staff_not_here(now) if user.is_director else ()),
        *(_wishes_for_deletion() if user.is_director else ()),
    ]
    order = {need: place for place, need in enumerate(Need)}
    return sorted(matters, key=lambda matter: (order[matter.need], matter.since, matter.name))


def _about_student(needy: NeedyStudent, *, may_invite: bool) -> Matter:
    told = partial(_of_student, needy, may_invite=may_invite)
    return Matter(needy.need, needy.student.name, _since_of(needy), told)


def _since(needy: NeedyCell) -> datetime:
    return needy.facts.take_uploaded_at or needy.facts.due_at


def _since_of(needy: NeedyStudent) -> datetime:
    facts = needy.facts
    if needy.need is Need.SILENT:
        return max(facts.last_take_at or facts.since, facts.since)
    invited_at = facts.student_invited_at if facts.may_record else facts.guardian_invited_at
    return invited_at if needy.need is Need.INVITATION and invited_at else facts.since


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
    sentence = str(_CELL_SENTENCES[needy.need]) % words
    student, posts = needy.entry.student, needy.need in _REMINDED
    return Line(needy.need, student.name, sentence, action, address, student.pk, posts)


def _cell_action(needy: NeedyCell) -> tuple[str, str]:
    cell = [needy.entry.pk, needy.requirement.pk]
    if needy.need in _REMINDED:
        return _("Remind by mail"), reverse("requirement_remind", args=cell)
    if needy.need is Need.UNHEARD:
        return _("Hear the take"), reverse("review", args=[needy.take_id])
    return _("Open the takes"), reverse("requirement_takes", args=cell)


def _of_student(needy: NeedyStudent, *, may_invite: bool) -> Line:
    student, facts = needy.student, needy.facts
    invites = _whom_to_invite(needy) if may_invite else ""
    if invites:
        action = _("Invite the guardian") if invites == Role.GUARDIAN else _("Invite the student")
        address = reverse("student_invite", args=[student.pk])
    else:
        page = "student_edit" if may_invite and needy.need is not Need.SILENT else "student_page"
        action, address = _("Open the student"), reverse(page, args=[student.pk])
    sentence = _of_silent(facts) if needy.need is Need.SILENT else _of_account(needy)
    return Line(needy.need, student.name, sentence, action, address, student.pk, bool(invites), invites)


def _of_silent(facts: StudentFacts) -> str:
    last = facts.last_take_at
    if last and last >= facts.since:
        return _("The last take came on %(day)s.") % {"day": _day(last)}
    return _("No take has come since %(day)s.") % {"day": _day(facts.since)}


def _of_account(needy: NeedyStudent) -> str:
    """What keeps this student from handing in."""
    facts, day = needy.facts, {"day": _day(_since_of(needy))}
    if needy.need is Need.INVITATION:
        if facts.may_record:
            return _("Invited on %(day)s and not here yet.") % day
        return _("The guardian was invited on %(day)s and has not come yet.") % day
    if facts.has_guardian:
        return _("A guardian has an account and has not agreed yet.")
    if needy.student.guardian_email:
        return _("The guardian is not invited yet.")
    return _("There is no guardian's mail address yet.")


def _whom_to_invite(needy: NeedyStudent) -> str:
    """Whom one click invites; nobody where there is no address or somebody is there to be spoken to."""
    student, facts = needy.student, needy.facts
    if needy.need is Need.SILENT:
        return ""
    if facts.may_record:
        return Role.STUDENT if student.email else ""
    return Role.GUARDIAN if student.guardian_email and not facts.has_guardian else ""


def _staff_not_here(now: datetime) -> Iterator[Matter]:
    waiting = Invitation.objects.open(now).filter(student=None, invited_at__lte=now - UNANSWERED_AFTER)
    for invitation in waiting:
        told = partial(_of_staff, invitation)
        yield Matter(Need.INVITATION, invitation.name, invitation.invited_at, told)


def _of_staff(invitation: Invitation) -> Line:
    sentence = _("Invited on %(day)s and not here yet.") % {"day": _day(invitation.invited_at)}
    return Line(Need.INVITATION, invitation.name, sentence, _("Open the invitations"), reverse("people"))


def _wishes_for_deletion() -> Iterator[Matter]:
    for wish in DeletionRequest.objects.open().select_related("student"):
        yield Matter(Need.DELETION, wish.student.name, wish.asked_at, partial(_of_wish, wish))


def _of_wish(wish: DeletionRequest) -> Line:
    told = _("Asked on %(day)s that everything is deleted; to be answered by %(due)s.")
    sentence = told % {"day": _day(wish.asked_at), "due": date_format(wish.due_on, _("j M Y"))}
    student, address = wish.student, reverse("student_data", args=[wish.student_id])
    return Line(Need.DELETION, student.name, sentence, _("Look at it"), address, student.pk)


def _day(at: datetime) -> str:
    return date_format(timezone.localtime(at), _("j M Y"))
