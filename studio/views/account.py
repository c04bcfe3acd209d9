from allauth.mfa.models import Authenticator
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from studio.forms.people import NameForm
from studio.models import User
from studio.request import SignedInRequest


@login_required
def account(request: SignedInRequest) -> HttpResponse:
    # The form gets its own copy, so that a refused name does not show in the page's head.
    form = NameForm(request.POST or None, instance=User.objects.get(pk=request.user.pk))
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, _("Your name is saved."))
        return redirect("account")
    second_factor = Authenticator.objects.filter(user=request.user, type=Authenticator.Type.TOTP)
    return render(request, "studio/account.html", {"form": form, "has_second_factor": second_factor.exists()})
