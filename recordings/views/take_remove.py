from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from recordings.access import take_or_404
from recordings.models import Take
from recordings.receiving import why_not_now
from recordings.removing import remove_take, was_answered
from studio.access import may_upload_for


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def take_remove(request: HttpRequest, take_id: int) -> HttpResponse:
    """Asks whether a take shall be gone for good (GET), and removes it (POST)."""
    take = take_or_404(request.user, take_id)
    if not may_upload_for(request.user, take.entry.student):
        raise PermissionDenied
    if was_answered(take):
        return _stays(request, take)
    if request.method != "POST":
        not_now = why_not_now(take.entry, take.entry.student)
        return render(request, "recordings/take_remove.html", {"take": take, "not_now": not_now})
    if not remove_take(take):
        return _stays(request, take)
    messages.success(request, _("The take is removed."))
    return redirect("requirement_takes", take.entry_id, take.requirement_id)


def _stays(request: HttpRequest, take: Take) -> HttpResponse:
    messages.error(request, _("A take the teacher has answered stays with its answer."))
    return redirect("take_detail", take.pk)
