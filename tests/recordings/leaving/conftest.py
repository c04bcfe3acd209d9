"""One student with one of everything that is kept."""

import pytest
from django.core.files.base import ContentFile
from django.utils import timezone

from recordings.leaving import copy, copy_queue
from recordings.models import OwnCopy, Panel, Review, Upload
from studio.models import Consent, Invitation, Notice, Question, Role
from studio.services.mail import send_later
from tests.recordings.measured_take import make_take
from tests.recordings.sight_rows import sight_reading

# Each stands in one place alone, and nowhere once all is deleted.
SOUND = b"the very bytes of a take"
PIECE = b"the first piece of an upload"
CLEAN = b"a copy for the panel"
AT_SIGHT = b"read at sight and handed in"
ALONE = b"read at sight for oneself"
ANSWER = "Lean into the long notes."
DRAFT = "A draft nobody released."
QUESTION = "May I breathe there?"
LISTENER = "A listener thought so."
ORIGINAL = "mira-in-the-kitchen.wav"


@pytest.fixture
def everything(student, entry, requirement, student_user, guardian, teacher, director, other_teacher):
    take = make_take(entry, requirement, sound=SOUND)
    take.original_name, take.uploaded_by = ORIGINAL, student_user
    take.save()
    Review.objects.create(take=take, state="released", words=ANSWER, reviewer=teacher)
    drafted = make_take(entry, requirement, sound=b"another")
    Review.objects.create(take=drafted, words=DRAFT)
    question = {"excerpt": requirement.excerpt, "student": student, "asked_by": student_user}
    Question.objects.create(**question, from_bar="1", to_bar="1", text=QUESTION)
    panel = Panel.objects.create(
        audition=requirement.audition, name="Panel", rubric=requirement.rubric, made_by=director
    )
    Consent.objects.update(for_panels=True)
    heard = panel.takes.create(take=take, code="B22", sound=ContentFile(CLEAN, name="clean"))
    listener = panel.listeners.create(user=other_teacher)
    listener.sheets.create(panel_take=heard, position=0, remark=LISTENER)
    upload = Upload.objects.create(
        person=student_user,
        entry=entry,
        requirement=requirement,
        size=99,
        sha256="1" * 64,
        original_name=ORIGINAL,
    )
    upload.parts.create(start=0, size=len(PIECE), file=ContentFile(PIECE, name="part"))
    Notice.objects.create(user=guardian, student=student, kind="answer", about="take 1")
    Invitation.issue(
        email=guardian.email, name="guardian", role=Role.GUARDIAN, invited_by=director, student=student
    )
    for number, (sound, handed_at) in enumerate([(AT_SIGHT, timezone.now()), (ALONE, None)]):
        sight_reading(
            requirement,
            student,
            content_hash=str(number),
            sound=ContentFile(sound, name="sight"),
            media_type="audio/ogg",
            handed_at=handed_at,
        )
    send_later(student_user.email, "An answer", "waits")
    return take


@pytest.fixture
def copied(everything, student, guardian):
    """The copy as a worker has made it."""
    copy_queue.ask_for(student, guardian)
    row = OwnCopy.objects.get()
    assert copy.make(row.pk)
    row.refresh_from_db()
    return row
