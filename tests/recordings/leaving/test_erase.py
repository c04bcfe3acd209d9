"""Deleting everything of a student: no byte of it stays, nothing of anybody else goes."""

import logging
from datetime import timedelta

import pytest
from django.apps import apps
from django.core.files.storage import default_storage
from django.core.mail import send_mail
from django.db import connection
from django.urls import reverse
from django.utils import timezone

from recordings.leaving import erase as erasing
from recordings.models import Erasure, Take
from recordings.tasks import sweep
from studio.models import DeletionRequest, Event, Invitation, OutgoingMail, Student, Studio, User
from studio.services.mail import send_later
from tests.recordings.leaving import conftest as kept
from tests.recordings.measured_take import make_take

pytestmark = pytest.mark.django_db
TRACES = [
    *("Tannhof", "mira@example.org", "ruth@example.org", kept.ANSWER, kept.DRAFT, kept.QUESTION),
    *(kept.LISTENER, kept.ORIGINAL, "sentence number 0", "Agreed for the tests."),
]
SOUNDS = [kept.SOUND, kept.PIECE, kept.CLEAN, kept.AT_SIGHT, kept.ALONE]


@pytest.fixture
def mail_folder(settings, tmp_path):
    settings.EMAIL_FILE_PATH = tmp_path / "mail"
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    return settings.EMAIL_FILE_PATH


def in_storage(settings) -> bytes:
    return b"".join(path.read_bytes() for path in settings.MEDIA_ROOT.rglob("*") if path.is_file())


def in_database() -> bytes:
    """Every row of every table as text; on SQLite the very pages of the database too, free ones included."""
    found = b""
    with connection.cursor() as cursor:
        for model in apps.get_models(include_auto_created=True):
            cursor.execute(f'SELECT * FROM "{model._meta.db_table}"')
            found += repr(cursor.fetchall()).encode()
    if connection.vendor == "sqlite":
        found += connection.connection.serialize()
    return found


@pytest.fixture
def erase(student, director, django_capture_on_commit_callbacks):
    def erased() -> Erasure:
        with django_capture_on_commit_callbacks(execute=True):
            receipt = erasing.erase(student, by=director)
        erasing.finish(receipt.pk)
        return receipt

    return erased


@pytest.mark.django_db(transaction=True)
def test_no_byte_of_the_student_stays(copied, erase, mail_folder, settings, student_user, as_user, caplog):
    caplog.set_level(logging.INFO)
    send_mail("For you", "An answer is here.", None, [student_user.email, "other@example.org"])
    send_mail("For another", "Somebody else's.", None, ["jonas@example.org"])
    as_user(student_user).get("/my-music/")
    before = in_storage(settings) + in_database()
    for trace in (*(word.encode() for word in TRACES), *SOUNDS):
        assert trace in before, trace
    erase()
    mails = b"".join(path.read_bytes() for path in mail_folder.glob("*"))
    after = in_storage(settings) + in_database() + mails + caplog.text.encode()
    for trace in (*(word.encode() for word in TRACES), *SOUNDS):
        assert trace not in after, trace
    assert b"jonas@example.org" in mails
    assert OutgoingMail.objects.filter(state="withdrawn").count() == 1


def test_nothing_of_another_student_goes(
    everything, erase, other_student, other_guardian, audition, requirement, teacher
):
    entry = other_student.entries.create(audition=audition, instrument="violin", level="senior")
    other = make_take(entry, requirement, sound=b"of another")
    erase()
    other.refresh_from_db()
    assert default_storage.open(other.sound.name).read() == b"of another"
    assert set(Take.objects.all()) == {other}
    assert User.objects.filter(pk__in=[teacher.pk, other_guardian.pk, other_student.user_id]).count() == 3


def test_a_guardian_with_another_child_keeps_account_mail_and_invitation(
    everything, erase, other_student, guardian, director, student
):
    other_student.guardianships.create(guardian=guardian)
    sibling = {"student": other_student, "role": "guardian", "invited_by": director}
    invitation, _token = Invitation.issue(email=guardian.email, name="guardian", **sibling)
    stays = send_later(guardian.email, "About another child", "An answer is here.")
    gone = send_later(guardian.email, "About this child", f"{student.name} has an answer.")
    receipt = erase()
    assert User.objects.filter(pk=guardian.pk, is_active=True).exists()
    assert receipt.counts["accounts"] == 1
    assert list(Invitation.objects.all()) == [invitation]
    states = dict(OutgoingMail.objects.values_list("pk", "state"))
    assert (states[stays.pk], states[gone.pk]) == ("waiting", "withdrawn")


def test_the_receipt_counts_and_says_until_when_backups_hold_it(everything, erase, student, studio):
    Studio.objects.update(backups_kept_days=30)
    number = student.pk
    receipt = erase()
    assert receipt.counts == {
        "takes": 2,
        "entries": 1,
        "questions": 1,
        "agreements": 1,
        "uploads": 1,
        "accounts": 2,
    }
    assert receipt.in_backups_until == timezone.localdate() + timedelta(days=30)
    assert Event.objects.filter(kind=Event.Kind.ERASED, about="student", about_number=number).exists()


def test_what_a_killed_process_left_the_sweep_deletes(everything, student, director, settings):
    """The rows are gone and nothing after the commit was done."""
    erasing.erase(student, by=director)
    receipt = Erasure.objects.get()
    assert kept.SOUND in in_storage(settings)
    assert len(receipt.files) == 6
    erasing.sweep()
    assert not in_storage(settings)
    receipt.refresh_from_db()
    assert receipt.files == []
    assert receipt.finished_at


class TestOnThePages:
    def test_it_is_looked_at_twice(self, everything, student, director, as_user):
        browser, address = as_user(director), reverse("student_erase", args=[student.pk])
        first = browser.get(address).text
        assert "The studio has not said" in first
        assert browser.post(address, {"name": student.name}).status_code == 200
        assert 'name="name"' in browser.post(address, {"sure": "on"}).text
        wrong = browser.post(address, {"sure": "on", "name": "Somebody"}).text
        assert "not the student&#x27;s name" in wrong
        assert Student.objects.filter(pk=student.pk).exists()
        done = browser.post(address, {"sure": "on", "name": "mira tannhof"}, follow=True)
        assert "Receipt of a deletion" in done.text
        assert not Student.objects.filter(pk=student.pk).exists()

    def test_a_family_asks_and_the_director_has_a_task_with_a_date(
        self, everything, student, guardian, director, teacher, as_user, mailoutbox
    ):
        family, page = as_user(guardian), reverse("student_data", args=[student.pk])
        ask = reverse("deletion_ask", args=[student.pk])
        assert "Please tick the box" in family.post(ask, {}).text
        assert not DeletionRequest.objects.exists()
        for _twice in range(2):
            family.post(ask, {"sure": "on"})
        wish = DeletionRequest.objects.get()
        week = as_user(director).get(reverse("this_week")).text
        assert "Asked on" in week
        assert f"{wish.due_on:%Y}" in week
        assert page in week
        assert "Asked on" not in as_user(teacher).get(reverse("this_week")).text
        said = [mail.unseal() for mail in OutgoingMail.objects.waiting() if director.email in mail.unseal()]
        [(_to, subject, body)] = said
        assert student.name not in subject + body
        assert page in body
        family.post(reverse("deletion_take_back", args=[student.pk]))
        assert "Asked on" not in as_user(director).get(reverse("this_week")).text
        told = Event.objects.filter(kind__in=[Event.Kind.DELETION_ASKED, Event.Kind.DELETION_CLOSED])
        assert [event.by_number for event in told] == [guardian.pk, guardian.pk]

    def test_declined_with_a_reason_the_family_reads(self, everything, student, guardian, director, as_user):
        as_user(guardian).post(reverse("deletion_ask", args=[student.pk]), {"sure": "on"})
        answer = {"reason": "The entry is being judged until May."}
        as_user(director).post(reverse("deletion_decline", args=[student.pk]), answer)
        page = as_user(guardian).get(reverse("student_data", args=[student.pk])).text
        assert answer["reason"] in page
        assert "Ask for deletion" in page
        late = as_user(director).post(reverse("deletion_decline", args=[student.pk]), answer, follow=True)
        assert "There is no wish to answer any more" in late.text

    def test_who_asks_is_told_whose_accounts_go(self, everything, student, student_user, guardian, as_user):
        ask = reverse("deletion_ask", args=[student.pk])
        assert "yours too, if no other child" in as_user(guardian).get(ask).text
        Student.objects.update(is_minor=False)
        assert "So does your account." in as_user(student_user).get(ask).text

    def test_who_is_of_age_asks_alone(self, everything, student, student_user, guardian, as_user):
        ask = reverse("deletion_ask", args=[student.pk])
        Student.objects.update(is_minor=False)
        assert as_user(guardian).post(ask, {"sure": "on"}).status_code == 403
        assert as_user(student_user).post(ask, {"sure": "on"}).status_code == 302


def test_the_sweep_of_the_workers_finishes_deletions(everything, student, director, settings):
    erasing.erase(student, by=director)
    sweep()
    assert not in_storage(settings)


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL overwrites in its own time")
def test_rows_that_were_moved_within_the_file_leave_nothing():
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE kept (word TEXT)")
        cursor.executemany("INSERT INTO kept VALUES (%s)", [(f"a child's name {n}",) for n in range(2000)])
        cursor.execute("DELETE FROM kept WHERE word NOT LIKE '%%7'", [])
        cursor.execute("UPDATE kept SET word = 'another'")
        assert erasing.overwrite_freed()
        pages = connection.connection.serialize()
        cursor.execute("DROP TABLE kept")
    assert b"a child's name" not in pages
