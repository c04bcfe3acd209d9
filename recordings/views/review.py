from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from recordings.access import take_to_answer
from recordings.models import Analysis
from recordings.reviews.draft import ensure_draft
from recordings.reviews.page import review_context
from recordings.reviews.queue_filter import QueueFilter
from studio.request import SignedInRequest


@require_GET
@login_required
def review(request: SignedInRequest, pk: int) -> HttpResponse:
    take = take_to_answer(request.user, pk)
    if take.analysis.state in (Analysis.State.WAITING, Analysis.State.RUNNING):
        return render(request, "recordings/review_waiting.html", {"take": take, "analysis": take.analysis})
    drafted = ensure_draft(take)
    following = QueueFilter.of(request.GET).after(take, request.user)
    context = review_context(take, drafted, by=request.user, next_take=following)
    return render(request, "recordings/review.html", context)
