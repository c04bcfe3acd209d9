from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from recordings.access import take_or_404
from recordings.jobs.progress import progress_of
from recordings.jobs.request import drawing_query
from recordings.readiness.rows import cell_for
from recordings.reviews.answer import answer_of, released_review
from recordings.reviews.practice import plan_of
from recordings.takes.lifetime import why_it_stays
from studio.access import may_ask_about, may_upload_for
from studio.request import SignedInRequest


@require_safe
@login_required
def take_detail(request: SignedInRequest, take_id: int) -> HttpResponse:
    """One take as the student sees it: the sound, how far the measuring is, and the released review."""
    take = take_or_404(request.user, take_id)
    review = released_review(take)
    if review is not None:
        review.note_opened(by=request.user)
    answer = answer_of(review) if review else None
    may_upload = may_upload_for(request.user, take.entry.student)
    context = {
        "take": take,
        "entry": take.entry,
        "requirement": take.requirement,
        "cell": cell_for(take.entry, take.requirement),
        "review": review,
        "answer": answer,
        "has_plan": answer is not None and bool(plan_of(answer.cards)),
        "may_ask": may_ask_about(take.requirement.excerpt, request.user),
        "bars_query": drawing_query(take.requirement),
        "may_upload": may_upload,
        "may_remove": may_upload and not why_it_stays(take, request.user),
        **progress_of(take, request.user),
    }
    return render(request, "recordings/take_detail.html", context)
