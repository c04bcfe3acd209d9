from django.contrib import messages
from django.contrib.auth import login
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from studio.forms.people import AcceptForm
from studio.models import Invitation, User
from studio.request import SignedInRequest
from studio.services.invitations import AlreadyTied, InvitationClosed, accept_as, accept_as_new

BACKEND = "studio.setup.sign_in.OneLookUp"


@never_cache
def invitation(request: SignedInRequest, token: str) -> HttpResponse:
    """Anyone with the link may open it; a person who already has an account signs in first."""
    invited = get_object_or_404(Invitation.objects.for_token(token).select_related("student"))
    if not invited.is_open():
        return _closed(request, invited)
    holder = User.objects.filter(email=invited.email).exists()
    try:
        if request.user.is_authenticated:
            return _as_signed_in(request, invited)
        return _as_known(request, invited) if holder else _as_new(request, invited)
    except InvitationClosed:
        invited.refresh_from_db()
        return _closed(request, invited)
    except AlreadyTied:
        messages.error(request, _("Another account already belongs to this student. Ask your director."))
        return redirect("home")


def _as_signed_in(request: SignedInRequest, invited: Invitation) -> HttpResponse:
    if request.user.email != invited.email:
        return render(request, "studio/invitation_other.html", {"invitation": invited}, status=403)
    if request.method == "POST":
        accept_as(invited, request.user)
        messages.success(request, _("Welcome. Your account now has this role too."))
        return redirect("home")
    return render(request, "studio/invitation_accept.html", {"invitation": invited})


def _as_known(request: SignedInRequest, invited: Invitation) -> HttpResponse:
    return render(request, "studio/invitation_known.html", {"invitation": invited})


def _as_new(request: SignedInRequest, invited: Invitation) -> HttpResponse:
    initial = {"name": "" if invited.role == "guardian" else invited.name}
    form = AcceptForm(request.POST or None, email=invited.email, initial=initial)
    if request.method == "POST" and form.is_valid():
        user = accept_as_new(invited, name=form.cleaned_data["name"], password=form.cleaned_data["password"])
        login(request, user, backend=BACKEND)
        messages.success(request, _("Welcome. Your account is ready."))
        return redirect("home")
    return render(request, "studio/invitation.html", {"invitation": invited, "form": form})


def _closed(request: SignedInRequest, invited: Invitation) -> HttpResponse:
    if invited.used_at:
        sentence = _("This invitation has been used already. You can sign in.")
    elif invited.withdrawn_at:
        sentence = _("This invitation was withdrawn. Your studio's director can tell you more.")
    else:
        sentence = _("This invitation has run out. Ask your studio's director for a new one.")
    return render(request, "studio/invitation_closed.html", {"sentence": sentence}, status=410)
