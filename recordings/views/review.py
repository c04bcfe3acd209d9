from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from recordings.models import Analysis
from recordings.review_page import review_context
from recordings.reviewing import ensure_draft
from recordings.views.review_access import take_to_answer


@require_GET
@login_required
def review(request: HttpRequest, pk: int) -> HttpResponse:
    take = take_to_answer(request.user, pk)
    if take.analysis.state in (Analysis.State.WAITING, Analysis.State.RUNNING):
        return render(request, "recordings/review_waiting.html", {"take": take, "analysis": take.analysis})
    return render(request, "recordings/review.html", review_context(take, ensure_draft(take)))
