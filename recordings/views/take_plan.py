from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from recordings.access import take_or_404
from recordings.reviews.answer import answer_of, released_review
from recordings.reviews.practice import plan_of
from studio.request import SignedInRequest


@require_safe
@login_required
def take_plan(request: SignedInRequest, take_id: int) -> HttpResponse:
    """What to practise after a released answer, for the stand or on paper."""
    take = take_or_404(request.user, take_id)
    review = released_review(take)
    items = plan_of(answer_of(review).cards) if review else ()
    context = {
        "take": take,
        "entry": take.entry,
        "requirement": take.requirement,
        "review": review,
        "items": items,
        "minutes": sum(item.minutes for item in items),
        "days": range(1, 8),
    }
    return render(request, "recordings/take_plan.html", context)
