"""Asking at a bar, the list of what waits for an answer, and one question with its answer."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from repertoire.paging import page_of
from studio.access import (
    may_answer,
    may_name_asker,
    may_remove_question,
    may_share_answer,
    question_or_404,
    question_to_remove,
    role_required,
    students_to_ask_for,
    visible_excerpts,
)
from studio.forms.question import AnswerForm, QuestionForm
from studio.models import Notice, Question, Role
from studio.request import SignedInRequest
from studio.services.notices import tell
from studio.services.questions import leaders_reading


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def question_add(request: SignedInRequest, pk: int) -> HttpResponse:
    """Ask about this music at a bar; `?bar=` fills the bar in beforehand."""
    excerpt = get_object_or_404(visible_excerpts(request.user), pk=pk)
    students = students_to_ask_for(request.user, excerpt)
    question = Question(excerpt=excerpt, asked_by=request.user, from_bar=request.GET.get("bar", "")[:10])
    form = QuestionForm(
        request.POST if request.method == "POST" else None, instance=question, students=students
    )
    if form.is_bound and form.is_valid():
        asked = form.save()
        sentence = _("Your question at %(bars)s is with your teacher.") % {"bars": asked.bars_text}
        messages.success(request, sentence)
        return redirect("excerpt_detail", excerpt.pk)
    leaders = leaders_reading(students, excerpt)
    return render(request, "studio/question_add.html", {"form": form, "excerpt": excerpt, "leaders": leaders})


@require_safe
@role_required(Role.DIRECTOR, Role.TEACHER)
def question_list(request: HttpRequest) -> HttpResponse:
    """What waits for an answer, the oldest first; with ?show=answered what was answered, the latest first."""
    mine = Question.objects.to_answer_by(request.user)
    show_answered = request.GET.get("show") == "answered"
    rows = mine.answered().order_by("-answered_at", "-pk") if show_answered else mine.open()
    listed = rows.select_related("student", "excerpt").defer("excerpt__musicxml")
    context = {"page": page_of(request, listed), "show_answered": show_answered}
    return render(request, "studio/question_list.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def question_detail(request: SignedInRequest, pk: int) -> HttpResponse:
    """One question; who may answer finds the answer's form."""
    question = question_or_404(request.user, pk)
    answers = may_answer(request.user, question)
    if request.method == "POST" and not answers:
        raise PermissionDenied
    form = AnswerForm(
        request.POST if request.method == "POST" else None,
        instance=question,
        may_share=may_share_answer(request.user, question),
    )
    if form.is_bound and form.is_valid():
        with transaction.atomic():
            if question.is_open:
                tell(Notice.Kind.QUESTION, question.student, about=f"question {pk}", path=request.path)
            question.give_answer(request.user)
        messages.success(request, _("The answer is saved."))
        return redirect("question_detail", pk)
    context = {
        "question": question,
        "form": form if answers else None,
        "may_remove": may_remove_question(request.user, question),
        "names_student": may_name_asker(request.user, question),
    }
    return render(request, "studio/question_detail.html", context)


@require_POST
@login_required
def question_remove(request: SignedInRequest, pk: int) -> HttpResponse:
    """Whoever asked may take an open question back; directors may remove any."""
    question = question_to_remove(request.user, pk)
    question.delete()
    messages.success(request, _("The question is removed."))
    return redirect("excerpt_detail", question.excerpt_id)
