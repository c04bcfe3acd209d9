from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from studio.access import role_required
from studio.forms.people import StudioForm
from studio.models import Role, Studio
from studio.request import SignedInRequest


@role_required(Role.DIRECTOR)
def studio_edit(request: SignedInRequest) -> HttpResponse:
    form = StudioForm(request.POST or None, instance=Studio.current(), by=request.user)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, _("The studio's settings are saved."))
        return redirect("studio_edit")
    context = {
        "form": form,
        "heading": _("The studio"),
        "further": [
            (reverse("privacy_edit"), _("The privacy page")),
            (reverse("verdicts"), _("How far the measuring was believed")),
        ],
    }
    return render(request, "studio/form_page.html", context)
