from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from recordings.access import take_or_404
from recordings.jobs.stages import words_for
from recordings.models import Analysis, Take
from recordings.reviews.hints import hints_for
from studio.access import may_teach
from studio.models import User

NOTHING_NEW = 204


@require_safe
@login_required
def take_progress(request: HttpRequest, take_id: int) -> HttpResponse:
    """The part of the take's page that is asked for again until the measuring has ended.

    Where nothing has changed since the last answer, nothing is sent: the page and the screen reader stay
    quiet.
    """
    progress = progress_of(take_or_404(request.user, take_id), request.user)
    if not progress["ended"] and request.GET.get("seen") == progress["seen"]:
        return HttpResponse(status=NOTHING_NEW)
    return render(request, "recordings/_progress.html", progress)


def progress_of(take: Take, user: User) -> dict:
    analysis = take.analysis
    waits = analysis.state == Analysis.State.WAITING
    before = Analysis.objects.before(analysis).count() if waits else 0
    return {
        "take": take,
        "may_teach": may_teach(user, take.entry.student),
        "before": before,
        "analysis": analysis,
        "ended": analysis.state in (Analysis.State.DONE, Analysis.State.FAILED),
        "hints": hints_for(analysis),
        "failed": analysis.state == Analysis.State.FAILED,
        "stage_words": words_for(analysis),
        "seen": f"{analysis.state}-{analysis.stage}-{analysis.progress_percent}-{before}",
        "released": hasattr(take, "review") and take.review.is_released,
    }
