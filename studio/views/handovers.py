"""Handing one's students to a colleague for a stated time, and ending that early."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from repertoire.paging import page_of
from studio.access import role_required
from studio.forms.handover import HandoverForm
from studio.models import Event, Handover, Role
from studio.request import SignedInRequest
from studio.services.events import record


@require_safe
@role_required(Role.TEACHER, Role.DIRECTOR)
def handover_list(request: SignedInRequest) -> HttpResponse:
    rows = Handover.objects.visible_to(request.user).select_related("teacher", "colleague")
    return render(request, "studio/handover_list.html", {"page": page_of(request, rows)})


@require_http_methods(["GET", "HEAD", "POST"])
@role_required(Role.TEACHER, Role.DIRECTOR)
@transaction.atomic
def handover_add(request: SignedInRequest) -> HttpResponse:
    form = HandoverForm(request.POST if request.method == "POST" else None, user=request.user)
    if form.is_bound and form.is_valid():
        handover = form.save()
        record(Event.Kind.HANDED_OVER, handover.teacher, by=request.user.pk)
        name = {"name": handover.colleague.name}
        messages.success(request, _("%(name)s hears the takes in that time. It ends by itself.") % name)
        return redirect("handover_list")
    context = {"form": form, "heading": _("Hand students over"), "submit": _("Hand over")}
    return render(request, "studio/form_page.html", context)


@require_POST
@role_required(Role.TEACHER, Role.DIRECTOR)
@transaction.atomic
def handover_end(request: SignedInRequest, pk: int) -> HttpResponse:
    handover = get_object_or_404(Handover.objects.visible_to(request.user), pk=pk)
    if not handover.may_be_ended_by(request.user):
        raise PermissionDenied
    if handover.end():
        record(Event.Kind.HANDOVER_ENDED, handover.teacher, by=request.user.pk)
        messages.success(request, _("That is ended: the students are heard by their own teacher again."))
    return redirect("handover_list")
