from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from recordings.leaving.privacy import draft, paragraphs, privacy_text
from studio.access import role_required
from studio.forms.privacy import PrivacyForm
from studio.models import Role, Studio


@require_safe
def privacy(request: HttpRequest) -> HttpResponse:
    """For everybody, also before there is an account."""
    return render(request, "recordings/privacy.html", {"parts": paragraphs(privacy_text(Studio.current()))})


@role_required(Role.DIRECTOR)
def privacy_edit(request: HttpRequest) -> HttpResponse:
    studio = Studio.current()
    if request.method == "POST" and "draft" in request.POST:
        studio.say_privacy("")
        messages.success(request, _("The draft stands again."))
        return redirect("privacy_edit")
    form = PrivacyForm(request.POST or None, initial={"text": studio.privacy_text or draft(studio)})
    if request.method == "POST" and form.is_valid():
        studio.say_privacy(form.cleaned_data["text"])
        messages.success(request, _("The privacy page is saved."))
        return redirect("privacy")
    return render(request, "recordings/privacy_edit.html", {"form": form})
