"""Words for remarks: the list, and adding, changing and removing one."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from recordings.models import Phrase
from recordings.reviews.phrase_form import PhraseForm
from repertoire.paging import page_of
from studio.access import role_required
from studio.models import Role
from studio.request import SignedInRequest


@require_safe
@role_required(Role.TEACHER, Role.DIRECTOR)
def phrase_list(request: SignedInRequest) -> HttpResponse:
    """One's own; with ?show=studio those of the studio."""
    of_studio = request.GET.get("show") == "studio"
    rows = Phrase.objects.filter(owner=None if of_studio else request.user)
    may_change = not of_studio or request.user.is_director
    context = {"page": page_of(request, rows), "of_studio": of_studio, "may_change": may_change}
    return render(request, "recordings/phrase_list.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@role_required(Role.TEACHER, Role.DIRECTOR)
def phrase_add(request: SignedInRequest) -> HttpResponse:
    return _phrase_form(request, Phrase(owner=request.user), _("New phrase"))


@require_http_methods(["GET", "HEAD", "POST"])
@role_required(Role.TEACHER, Role.DIRECTOR)
def phrase_edit(request: SignedInRequest, pk: int) -> HttpResponse:
    return _phrase_form(request, _phrase_to_change(request, pk), _("Change the phrase"))


@require_POST
@role_required(Role.TEACHER, Role.DIRECTOR)
def phrase_remove(request: SignedInRequest, pk: int) -> HttpResponse:
    phrase = _phrase_to_change(request, pk)
    phrase.delete()
    messages.success(request, _("The phrase is removed. What was written with it stays."))
    return _to_list(phrase)


def _phrase_to_change(request: SignedInRequest, pk: int) -> Phrase:
    phrase = get_object_or_404(Phrase.objects.visible_to(request.user), pk=pk)
    if not phrase.is_kept_by(request.user):
        raise PermissionDenied
    return phrase


def _phrase_form(request: SignedInRequest, phrase: Phrase, heading: str) -> HttpResponse:
    form = PhraseForm(request.POST if request.method == "POST" else None, instance=phrase, user=request.user)
    if form.is_bound and form.is_valid():
        saved = form.save()
        messages.success(request, _("The phrase is saved."))
        return _to_list(saved)
    return render(request, "studio/form_page.html", {"form": form, "heading": heading})


def _to_list(phrase: Phrase) -> HttpResponse:
    shown = {"show": "studio"} if phrase.owner_id is None else {}
    return redirect(reverse("phrase_list", query=shown))
