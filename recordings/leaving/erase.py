"""Everything of one student goes for good: rows, sounds, copies, mails, accounts that serve nobody else.

The rows go in one transaction with a receipt in numbers, which first holds the names of all files: a process
killed in between leaves nothing, since the sweep deletes what the receipt still names. The record of events
keeps its numbers, and backups keep what they hold until they are made anew or thrown away.
"""

from datetime import timedelta
from functools import partial

from django.core.files.storage import default_storage
from django.db import OperationalError, connection, transaction
from django.db.models import ProtectedError, Q
from django.utils import timezone

from recordings.leaving.mails import forget_mails
from recordings.models import Bundle, Erasure, OwnCopy, PanelTake, SightReading, Take, Upload, UploadPart
from studio.models import Event, Question, Role, Student, Studio, User
from studio.services.access_ending import close_account
from studio.services.events import record
from studio.services.sign_ins import end_sign_ins
from studio.setup.messages import tell_workers

FINISH_TASK = "recordings.finish_erasure"


def counts_of(student: Student) -> dict[str, int]:
    """What there is, by kind, as it is shown before and kept after."""
    return {
        "takes": Take.objects.filter(entry__student=student).count(),
        "entries": student.entries.count(),
        "questions": Question.objects.filter(student=student).count(),
        "agreements": student.consents.count(),
        "uploads": Upload.objects.filter(entry__student=student, take=None).count(),
        "accounts": len(_accounts_of(student)),
    }


def erase(student: Student, *, by: User) -> Erasure:
    with transaction.atomic():
        Student.objects.select_for_update().get(pk=student.pk)
        accounts = _accounts_of(student)
        receipt = Erasure.objects.create(
            student_number=student.pk,
            by_number=by.pk,
            counts=counts_of(student),
            files=_files_of(student),
            in_backups_until=_in_backups_until(),
        )
        record(Event.Kind.ERASED, student, by=by.pk)
        forget_mails(_addresses_of(student, accounts), names={student.name})
        Take.objects.filter(entry__student=student).delete()
        student.delete()
        for user in accounts:
            _end(user)
        transaction.on_commit(partial(tell_workers, FINISH_TASK, receipt.pk))
    return receipt


def finish(receipt_id: int) -> None:
    """Delete what the receipt still names and overwrite the freed pages; safe to run again."""
    receipt = Erasure.objects.get(pk=receipt_id)
    for name in receipt.files:
        default_storage.delete(name)
    done = {"finished_at": timezone.now()} if overwrite_freed() else {}
    Erasure.objects.filter(pk=receipt_id).update(files=[], **done)


def sweep() -> int:
    """Finish what a killed process did not; how many there were."""
    left = list(Erasure.objects.filter(finished_at=None).values_list("pk", flat=True))
    for receipt_id in left:
        finish(receipt_id)
    return len(left)


def _files_of(student: Student) -> list[str]:
    of_student = {"entry__student": student}
    names = [
        *Take.objects.filter(**of_student).values_list("sound", flat=True),
        *Bundle.objects.filter(**of_student).values_list("file", flat=True),
        *OwnCopy.objects.filter(student=student).values_list("file", flat=True),
        *PanelTake.objects.filter(take__entry__student=student).values_list("sound", flat=True),
        *UploadPart.objects.filter(upload__entry__student=student).values_list("file", flat=True),
        *SightReading.objects.filter(student=student).values_list("sound", flat=True),
    ]
    return [name for name in names if name]


def _accounts_of(student: Student) -> list[User]:
    """The student's own account and the guardians', where they serve nobody else here."""
    theirs = User.objects.filter(Q(students=student) | Q(guardianships__student=student))
    return [user for user in theirs.distinct() if not _serves_others(user, student)]


def _addresses_of(student: Student, accounts: list[User]) -> set[str]:
    """Mail addresses that lead to nobody here any more: a guardian of another child keeps the mail."""
    theirs = {student.email, student.guardian_email, *(user.email for user in accounts)} - {""}
    others = Student.objects.exclude(pk=student.pk)
    kept = {
        *User.objects.exclude(pk__in=[user.pk for user in accounts]).values_list("email", flat=True),
        *others.values_list("email", flat=True),
        *others.values_list("guardian_email", flat=True),
    }
    return {address.lower() for address in theirs} - {address.lower() for address in kept}


def _serves_others(user: User, student: Student) -> bool:
    return (
        bool(user.role_names - {Role.STUDENT, Role.GUARDIAN})
        or user.students.exclude(pk=student.pk).exists()
        or user.guardianships.exclude(student=student).exists()
    )


def _end(user: User) -> None:
    """Delete the account; one that rows of other students rest on is closed and loses its name."""
    end_sign_ins(user)
    try:
        with transaction.atomic():
            user.delete()
    except ProtectedError:
        close_account(user)
        user.name, user.email = "–", f"deleted-{user.pk}@invalid.invalid"
        user.set_unusable_password()
        user.save(update_fields=["name", "email", "password"])


def _in_backups_until():
    days = Studio.current().backups_kept_days
    return timezone.localdate() + timedelta(days=days) if days else None


def overwrite_freed() -> bool:
    """Whether nothing deleted can be read in the database's files any more, as far as can be told from here.

    SQLite writes zeros over what it deletes, yet leaves copies of rows it has moved within its file: it is
    written anew, and the journal beside it emptied, unless somebody is at work in it just now. PostgreSQL
    frees such rows when it vacuums by itself, and overwrites them in time.
    """
    if connection.vendor != "sqlite" or connection.in_atomic_block:
        return True
    try:
        with connection.cursor() as cursor:
            cursor.execute("VACUUM")
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            is_busy, _pages, _moved = cursor.fetchone()
    except OperationalError:
        return False
    return not is_busy
