from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from recordings.access import take_to_remove
from recordings.models import Take
from recordings.takes.lifetime import remove_take, was_answered, why_it_stays
from recordings.upload.receive import why_not_now
from studio.request import SignedInRequest


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def take_remove(request: SignedInRequest, take_id: int) -> HttpResponse:
    """Asks whether a take shall be gone for good (GET), and removes it (POST)."""
    take = take_to_remove(request.user, take_id)
    if request.method == "POST":
        return _remove(request, take)
    if reason := why_it_stays(take, request.user):
        return _stays(request, take, reason)
    not_now = why_not_now(take.entry, take.entry.student)
    context = {"take": take, "not_now": not_now, "answered": was_answered(take)}
    return render(request, "recordings/take_remove.html", context)


def _remove(request: SignedInRequest, take: Take) -> HttpResponse:
    if reason := remove_take(take, by=request.user):
        return _stays(request, take, reason)
    messages.success(request, _("The take is removed."))
    return redirect("requirement_takes", take.entry_id, take.requirement_id)


def _stays(request: HttpRequest, take: Take, reason: str) -> HttpResponse:
    messages.error(request, reason)
    return redirect("take_detail", take.pk)
