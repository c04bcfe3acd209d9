"""What was mailed to whom, so that nothing is mailed twice."""

from datetime import datetime, timedelta

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from studio.models.student import Student
from studio.models.user import User

# An answer taken back, mended and released again within this time brings no second mail: the link in the
# first one leads to the mended answer. A choice, no published source.
SAME_ANSWER = timedelta(hours=1)


class NoticeQuerySet(models.QuerySet["Notice"]):
    def claim(self, *, user: User, student: Student, kind: str, abouts: list[str], at: datetime) -> list[int]:
        """Ids of the rows for what has to go out of what happened `at`: what went out before has none."""
        claimed = []
        for about in abouts:
            notice, is_new = self.get_or_create(
                user=user, kind=kind, about=about, defaults={"student": student}
            )
            again = self.filter(pk=notice.pk, kind=Notice.Kind.ANSWER, sent_at__lt=at - SAME_ANSWER)
            if is_new or again.update(sent_at=timezone.now()):
                claimed.append(notice.pk)
        return claimed


class Notice(models.Model):
    class Kind(models.TextChoices):
        ANSWER = "answer", _("when the teacher has answered a take")
        QUESTION = "question", _("when a question is answered")
        TAKE = "take", _("when my take has arrived")
        DEADLINE = "deadline", _("when a deadline comes near and no take is there")

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="notices")
    student = models.ForeignKey(Student, on_delete=models.CASCADE, related_name="notices")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    about = models.CharField(max_length=80)
    sent_at = models.DateTimeField(default=timezone.now)

    objects = NoticeQuerySet.as_manager()

    class Meta:
        ordering = ["-sent_at", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["user", "kind", "about"], name="one_notice_of_a_matter")
        ]

    def __str__(self) -> str:
        return f"notice {self.pk}"

    @classmethod
    def kinds_for(cls, user: User) -> list["Notice.Kind"]:
        """What this person is mailed about; a take that has arrived is told to its player alone."""
        return [kind for kind in cls.Kind if kind != cls.Kind.TAKE or user.is_student]
