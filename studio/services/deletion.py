"""The wish that everything of a student is deleted: asked, taken back, declined."""

from django.conf import settings
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone, translation

from studio.models import DeletionRequest, Role, Student, Studio, User
from studio.services.mail import send_from_template


def ask_for_deletion(student: Student, by: User) -> bool:
    """Put it before the directors, by mail too; False where it stands already."""
    try:
        with transaction.atomic():
            wish = DeletionRequest.objects.create(student=student, asked_by=by)
            _tell_directors(wish)
    except IntegrityError:
        return False
    return True


def _tell_directors(wish: DeletionRequest) -> None:
    """The mail names nobody: who it is about stands behind the link."""
    studio = Studio.current()
    address = f"{settings.SITE_ADDRESS}{reverse('student_data', args=[wish.student_id])}"
    for director in User.objects.with_role(Role.DIRECTOR):
        with translation.override(studio.language_for(director)):
            context = {"studio": studio, "due_on": wish.due_on, "address": address}
            send_from_template("deletion_asked", to=director.email, context=context)


def take_back(student: Student) -> bool:
    """False where nothing was asked."""
    wish = DeletionRequest.objects.open().filter(student=student).first()
    if wish:
        wish.taken_back_at = timezone.now()
        wish.save(update_fields=["taken_back_at"])
    return wish is not None


def decline(student: Student, reason: str) -> bool:
    wish = DeletionRequest.objects.open().filter(student=student).first()
    if wish:
        wish.declined_at, wish.reason = timezone.now(), reason
        wish.save(update_fields=["declined_at", "reason"])
    return wish is not None
