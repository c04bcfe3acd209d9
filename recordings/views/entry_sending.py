from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from recordings.models import Dispatch, Take
from recordings.sending.choose import back_to_default, choose, may_choose, why_not_chosen
from recordings.sending.page import entry_context, rules_of
from studio.access import entry_or_404
from studio.models import Entry, Requirement
from studio.request import SignedInRequest
from studio.sending.rules import FilePlan


@require_safe
@login_required
def entry_sending(request: SignedInRequest, entry_id: int) -> HttpResponse:
    """What is sent of an entry, beside the body's rules."""
    context = entry_context(request.user, entry_or_404(request.user, entry_id))
    return render(request, "recordings/entry_sending.html", context)


@require_POST
@login_required
def entry_sending_choose(request: SignedInRequest, entry_id: int) -> HttpResponse:
    """Another take for one requirement, or one recording for all; without one back to the best answered."""
    entry = entry_or_404(request.user, entry_id)
    if not may_choose(request.user, entry):
        raise PermissionDenied
    if Dispatch.objects.standing().filter(entry=entry).exists():
        return _refused(request, entry, _("This entry is sent already, so its takes stay as they are."))
    requirements = _requirements(request, entry)
    number = request.POST.get("take", "")
    if not number:
        back_to_default(entry, requirements)
        return redirect("entry_sending", entry.pk)
    take = get_object_or_404(
        Take.objects.filter(entry=entry, requirement__in=requirements).select_related("analysis"),
        pk=number if number.isdecimal() and len(number) < 19 else 0,
    )
    if refused := why_not_chosen(take, request.user):
        return _refused(request, entry, refused)
    choose(entry, requirements, take, request.user)
    messages.success(request, _("The take to send is chosen."))
    return redirect("entry_sending", entry.pk)


def _requirements(request: SignedInRequest, entry: Entry) -> list[Requirement]:
    """The one that is asked about, or all where one recording stands for everything."""
    rules, carried = rules_of(entry.audition_id), list(entry.requirements)
    if rules and rules.files == FilePlan.ONE:
        return carried
    asked = request.POST.get("requirement", "")
    return [requirement for requirement in carried if str(requirement.pk) == asked]


def _refused(request: SignedInRequest, entry: Entry, reason: str) -> HttpResponse:
    context = entry_context(request.user, entry, error=reason)
    return render(request, "recordings/entry_sending.html", context, status=422)
