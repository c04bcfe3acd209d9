from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from recordings.access import take_to_answer
from recordings.models import Analysis, Take
from recordings.reviews.draft import ensure_draft
from recordings.reviews.page import review_context
from studio.request import SignedInRequest


@require_GET
@login_required
def review(request: SignedInRequest, pk: int) -> HttpResponse:
    take = take_to_answer(request.user, pk)
    if take.analysis.state in (Analysis.State.WAITING, Analysis.State.RUNNING):
        return render(request, "recordings/review_waiting.html", {"take": take, "analysis": take.analysis})
    drafted = ensure_draft(take)
    following = Take.objects.next_to_review(request.user, after=take)
    context = review_context(take, drafted, by=request.user, next_take=following)
    return render(request, "recordings/review.html", context)
