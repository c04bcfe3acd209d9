from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from recordings.models import Analysis, Review, Take
from recordings.models.take import TakeQuerySet
from recordings.reviews.queue import lines_of, total_of
from recordings.reviews.queue_filter import QueueFilter
from repertoire.paging import page_of
from studio.access import role_required
from studio.models import Question, Role
from studio.request import SignedInRequest


@require_GET
@role_required(Role.TEACHER, Role.DIRECTOR)
def review_queue(request: SignedInRequest) -> HttpResponse:
    """Takes waiting to be heard, as the address asks for them; with ?show=released the answered ones."""
    mine = Take.objects.to_review_by(request.user)
    show_released = request.GET.get("show") == "released"
    asked = QueueFilter.of(request.GET)
    takes = _answered(mine) if show_released else asked.waiting(request.user)
    listed = takes.with_everything().defer("analysis__result", "requirement__excerpt__musicxml")
    page = page_of(request, listed)
    context = {
        "page": page,
        "lines": lines_of(list(page)),
        "total": None if show_released else total_of(takes),
        "show_released": show_released,
        "asked": asked,
        "choices": [] if show_released else asked.choices(request.user),
        "being_measured": mine.filter(
            analysis__state__in=[Analysis.State.WAITING, Analysis.State.RUNNING]
        ).count(),
        "open_questions": Question.objects.to_answer_by(request.user).open().count(),
    }
    return render(request, "recordings/review_queue.html", context)


def _answered(takes: TakeQuerySet) -> TakeQuerySet:
    return takes.filter(review__state=Review.State.RELEASED).order_by("-review__released_at", "-pk")
