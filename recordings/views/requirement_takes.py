from django.conf import settings
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from recordings.access import cell_or_404
from recordings.jobs.request import drawing_query, play_query
from recordings.models import Take
from recordings.readiness.rows import cell_for
from recordings.takes.sittings import sittings
from recordings.upload.receive import why_not_now
from repertoire.show.wording import tempo_changes
from studio.access import may_teach, may_upload_for
from studio.models import Entry, Requirement, Student, User


@require_safe
@login_required
def requirement_takes(request: HttpRequest, entry_id: int, requirement_id: int) -> HttpResponse:
    """Everything about one requirement of one entry: the music, what is asked, the takes so far."""
    entry, requirement = cell_or_404(request.user, entry_id, requirement_id)
    return show_cell(request, entry, requirement)


def show_cell(
    request: HttpRequest, entry: Entry, requirement: Requirement, *, error: str = "", status: int = 200
) -> HttpResponse:
    takes = Take.objects.filter(entry=entry, requirement=requirement).select_related("analysis", "review")
    context = {
        "cell": cell_for(entry, requirement),
        "entry": entry,
        "requirement": requirement,
        "sittings": sittings(takes.defer("analysis__result", "review__words")),
        "bars_query": drawing_query(requirement),
        "play_query": play_query(requirement),
        "tempo_changes": tempo_changes(requirement.excerpt.score, asked=set(requirement.order)),
        "may_upload": may_upload_for(request.user, entry.student),
        "may_teach": may_teach(request.user, entry.student),
        "not_now": why_not_now(entry, entry.student),
        "needs_consent": not entry.student.may_record and _is_guardian(request.user, entry.student),
        "error": error,
        "max_mb": settings.TAKE_MAX_MB,
    }
    return render(request, "recordings/requirement_takes.html", context, status=status)


def _is_guardian(user: User, student: Student) -> bool:
    return student.guardianships.filter(guardian=user).exists()
