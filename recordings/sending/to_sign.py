"""Which entries wait for this person's word before they can be sent off."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime

from django.db.models import Exists, OuterRef

from recordings.models import Dispatch, Statement
from recordings.sending.choice import choices_of
from recordings.sending.signing import kinds_to_sign, recordings_of, standing, wordings
from studio.models import Entry, Student, User


def to_sign(user: User, students: Sequence[Student], *, at: datetime) -> list[Entry]:
    """Entries of these students that are open, not sent, have takes, and lack a statement `user` may sign."""
    sent = Dispatch.objects.standing().filter(entry=OuterRef("pk"))
    asked = Entry.objects.open(at).filter(student__in=students)
    asked = asked.exclude(audition__sending_rules=None).exclude(Exists(sent))
    entries = list(asked.select_related("student", "audition__sending_rules").order_by("audition__closes_at"))
    if not entries:
        return []
    children = set(user.guardianships.values_list("student_id", flat=True))
    choices, signed = choices_of(entries), defaultdict(list)
    for statement in Statement.objects.filter(entry__in=entries).order_by("pk"):
        signed[statement.entry_id].append(statement)
    waiting = []
    for entry in entries:
        rules, chosen = entry.audition.sending_rules.rules, choices[entry.pk]
        kinds = kinds_to_sign(user, entry.student, is_guardian=entry.student_id in children)
        wanted = kinds & wordings(rules, is_minor=entry.student.is_minor).keys()
        if recordings_of(chosen) and wanted - standing(signed[entry.pk], chosen, rules).keys():
            waiting.append(entry)
    return waiting
