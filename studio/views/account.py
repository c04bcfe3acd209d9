from allauth.mfa.models import Authenticator
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from studio.access import role_required
from studio.forms.notices import NoticesForm
from studio.forms.people import AccountForm
from studio.models import CalendarFeed, Role, User
from studio.request import SignedInRequest


@login_required
def account(request: SignedInRequest) -> HttpResponse:
    # The form gets its own copy, so that a refused name does not show in the page's head.
    form = AccountForm(request.POST or None, instance=User.objects.get(pk=request.user.pk))
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, _("It is saved."))
        return redirect("account")
    second_factor = Authenticator.objects.filter(user=request.user, type=Authenticator.Type.TOTP)
    gets_mail = request.user.is_student or request.user.is_guardian
    context = {
        "form": form,
        "has_second_factor": second_factor.exists(),
        "calendar": CalendarFeed.objects.filter(user=request.user).first(),
        "notices": NoticesForm(user=request.user) if gets_mail else None,
    }
    return render(request, "studio/account.html", context)


@require_POST
@role_required(Role.STUDENT, Role.GUARDIAN)
def account_notices(request: SignedInRequest) -> HttpResponse:
    form = NoticesForm(request.POST, user=request.user)
    if form.is_valid():
        form.save()
        messages.success(request, _("Your choice of mails is saved."))
    return redirect("account")
