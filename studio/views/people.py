from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repertoire.paging import page_of
from studio.access import role_required
from studio.asked_again import asked_again
from studio.forms.people import InviteForm
from studio.models import Invitation, Role, User
from studio.request import SignedInRequest
from studio.services.invitations import invite as send_invitation
from studio.services.mail import where_mail_lies
from studio.services.mail_state import mail_state
from studio.services.second_factor import with_factor


@role_required(Role.DIRECTOR)
def people(request: HttpRequest) -> HttpResponse:
    staff = User.objects.filter(roles__role__in=[Role.DIRECTOR, Role.TEACHER]).distinct()
    invitations = Invitation.objects.open().select_related("student").with_refused_mail()
    return render(
        request,
        "studio/people.html",
        {
            "staff": page_of(request, with_factor(staff).prefetch_related("roles").order_by("name", "pk")),
            "mail": mail_state(),
            "invitations": page_of(request, invitations, key="open"),
        },
    )


@role_required(Role.DIRECTOR)
@asked_again
def invite(request: SignedInRequest) -> HttpResponse:
    form = InviteForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        send_invitation(**form.cleaned_data, invited_by=request.user)
        sent = _("The invitation is on its way.")
        messages.success(request, f"{sent} {where_mail_lies()}")
        return redirect("people")
    context = {"form": form, "heading": _("Invite a teacher or director"), "submit": _("Send invitation")}
    return render(request, "studio/form_page.html", context)


@require_POST
@role_required(Role.DIRECTOR)
def invitation_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    get_object_or_404(Invitation.objects.open(), pk=pk).withdraw()
    messages.success(request, _("The invitation is withdrawn; its link no longer works."))
    return redirect("people")
