from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from recordings.access import take_to_answer
from recordings.models import Analysis, Take
from recordings.reviews.draft import ensure_draft
from recordings.reviews.page import review_context
from studio.models import User
from studio.request import SignedInRequest


@require_GET
@login_required
def review(request: SignedInRequest, pk: int) -> HttpResponse:
    take = take_to_answer(request.user, pk)
    if take.analysis.state in (Analysis.State.WAITING, Analysis.State.RUNNING):
        return render(request, "recordings/review_waiting.html", {"take": take, "analysis": take.analysis})
    drafted = ensure_draft(take)
    following = next_in_queue(request.user, take) if drafted.is_released else None
    return render(request, "recordings/review.html", review_context(take, drafted, next_take=following))


def next_in_queue(user: User, after: Take) -> Take | None:
    """The first take of the person's queue, whose deadline is the nearest."""
    waiting = Take.objects.to_review_by(user).awaiting_review().exclude(pk=after.pk)
    return (
        waiting.select_related("entry__student", "requirement__excerpt")
        .only("entry__student__name", "requirement__excerpt__title")
        .first()
    )
