"""Questions a student asks at a bar, and what is answered."""

from datetime import timedelta

from django.db import models
from django.db.models import Exists, OuterRef
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from repertoire.models import Excerpt, check_bars
from repertoire.words import bar_words
from studio.models.clinic_acceptance import ClinicAcceptance
from studio.models.entry import Entry
from studio.models.requirement import Requirement
from studio.models.student import Student, StudentQuerySet
from studio.models.user import User

ANSWER_NEWS = timedelta(days=14)  # how long an answer is pointed out; a choice, no published source


def students_playing(excerpt: Excerpt) -> StudentQuerySet:
    """Students one of whose entries asks for this music."""
    asked = Requirement.objects.filter(
        excerpt=excerpt,
        audition=OuterRef("audition"),
        instrument=OuterRef("instrument"),
        level=OuterRef("level"),
    )
    return Student.objects.filter(Exists(Entry.objects.filter(Exists(asked), student=OuterRef("pk"))))


class QuestionQuerySet(models.QuerySet["Question"]):
    def visible_to(self, user) -> "QuestionQuerySet":
        """Asker, guardians, own teacher, directors, and the leader of a clinic the student had accepted.

        What was asked before stays with those who were said to read it then.
        """
        seen = models.Q(student__in=Student.objects.visible_to(user))
        if user.is_teacher:
            accepted = ClinicAcceptance.objects.filter(
                clinic__leader=user,
                clinic__excerpt=OuterRef("excerpt"),
                student=OuterRef("student"),
                accepted_at__lte=OuterRef("asked_at"),
            )
            still_playing = Requirement.objects.filter(
                excerpt=OuterRef("excerpt"),
                audition__entries__student=OuterRef("student"),
                audition__entries__instrument=models.F("instrument"),
                audition__entries__level=models.F("level"),
            )
            chosen = accepted.filter(clinic__for_all=False, clinic__students=OuterRef("student"))
            open_to_all = Exists(accepted.filter(clinic__for_all=True)) & Exists(still_playing)
            seen |= models.Q(open_to_all) | models.Q(Exists(chosen))
        return self.filter(seen).distinct()

    def to_answer_by(self, user) -> "QuestionQuerySet":
        """A teacher's own students' questions; a director answers any."""
        return self if user.is_director else self.filter(student__teacher=user)

    def open(self) -> "QuestionQuerySet":
        return self.filter(answered_at=None)

    def answered(self) -> "QuestionQuerySet":
        return self.exclude(answered_at=None)

    def answered_lately(self, at=None) -> "QuestionQuerySet":
        return self.filter(answered_at__gte=(at or timezone.now()) - ANSWER_NEWS).order_by("-answered_at")

    def shared(self) -> "QuestionQuerySet":
        return self.answered().filter(is_shared=True)


class Question(models.Model):
    """Bars are named by their printed labels; to all who play the music only `shared_words` are shown."""

    student = models.ForeignKey(
        Student, on_delete=models.CASCADE, related_name="questions", verbose_name=_("for")
    )
    excerpt = models.ForeignKey(Excerpt, on_delete=models.CASCADE, related_name="questions")
    from_bar = models.CharField(_("from bar"), max_length=10)
    to_bar = models.CharField(_("to bar"), max_length=10, blank=True)
    text = models.TextField(_("question"), max_length=2000)
    asked_by = models.ForeignKey(
        User, null=True, editable=False, on_delete=models.SET_NULL, related_name="questions_asked"
    )
    asked_at = models.DateTimeField(default=timezone.now, editable=False)
    answer = models.TextField(_("answer"), max_length=4000, blank=True)
    answered_by = models.ForeignKey(
        User, null=True, editable=False, on_delete=models.SET_NULL, related_name="questions_answered"
    )
    answered_at = models.DateTimeField(null=True, editable=False)
    is_shared = models.BooleanField(_("show it to all who play this music"), default=False)
    shared_text = models.TextField(_("the question as all read it"), max_length=2000, blank=True)

    objects = QuestionQuerySet.as_manager()

    class Meta:
        ordering = ["asked_at", "pk"]

    def __str__(self) -> str:
        return f"question {self.pk}"

    def clean(self) -> None:
        self.from_bar = self.from_bar.strip()
        self.to_bar = self.to_bar.strip() or self.from_bar
        if self.from_bar:
            check_bars(self.excerpt.score, self.from_bar, self.to_bar)

    @property
    def bars_text(self) -> str:
        return bar_words(self.from_bar, self.to_bar or self.from_bar)

    @property
    def is_open(self) -> bool:
        return self.answered_at is None

    @property
    def shared_words(self) -> str:
        return self.shared_text or self.text

    def give_answer(self, user: User) -> None:
        """Keep the answer typed into the row's fields."""
        self.answered_by, self.answered_at = user, timezone.now()
        self.save(update_fields=["answer", "answered_by", "answered_at", "is_shared", "shared_text"])
