from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from repertoire.paging import page_of
from studio.access import role_required
from studio.forms.more_time import MoreTimeForm
from studio.models import Audition, Entry, Role
from studio.request import SignedInRequest
from studio.services.more_time import give, take_back


@role_required(Role.DIRECTOR)
def more_time(request: SignedInRequest, pk: int) -> HttpResponse:
    """Who has more time than the audition gives, and giving it."""
    audition = get_object_or_404(Audition, pk=pk)
    asked = {"who": request.GET.get("who", "")}
    form = MoreTimeForm(request.POST or None, audition=audition, initial=asked)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        count = give(form.entries(), until=data["until"], reason=data["reason"], by=request.user)
        words = ngettext("%(count)d student has more time.", "%(count)d students have more time.", count)
        messages.success(request, words % {"count": count})
        return redirect("more_time", audition.pk)
    given = audition.entries.filter(extended_until__isnull=False).select_related("student", "extended_by")
    page = page_of(request, given.order_by("extended_until", "student__name", "pk"))
    return render(request, "studio/more_time.html", {"form": form, "audition": audition, "page": page})


@require_POST
@role_required(Role.DIRECTOR)
def more_time_end(request: SignedInRequest, pk: int) -> HttpResponse:
    entry = get_object_or_404(Entry.objects.select_related("student"), pk=pk)
    if take_back(entry):
        words = _("The studio's own dates hold for %(name)s again.")
        messages.success(request, words % {"name": entry.student.name})
    return redirect("more_time", entry.audition_id)
