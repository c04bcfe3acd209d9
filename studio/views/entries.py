from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from studio.access import role_required
from studio.forms.entry import EntryForm, GroupEntryForm
from studio.models import Audition, Entry, Role
from studio.services.entries import enter


@role_required(Role.DIRECTOR)
def entry_add(request: HttpRequest, pk: int) -> HttpResponse:
    audition = get_object_or_404(Audition, pk=pk)
    whole_group = "group" in request.POST
    form = EntryForm(request.POST if request.POST and not whole_group else None, audition=audition)
    group = GroupEntryForm(request.POST if whole_group else None, audition=audition)
    sent = group if whole_group else form
    if request.method == "POST" and sent.is_valid():
        count = enter(audition, sent.students)
        words = ngettext("%(count)s student entered.", "%(count)s students entered.", count)
        messages.success(request, words % {"count": count})
        return redirect("audition_detail", audition.pk)
    return render(request, "studio/entry_add.html", {"audition": audition, "form": form, "group": group})


@require_POST
@role_required(Role.DIRECTOR)
def entry_remove(request: HttpRequest, pk: int) -> HttpResponse:
    entry = get_object_or_404(Entry, pk=pk)
    if entry.takes.exists():
        messages.error(request, _("Takes have been handed in for this entry, so it stays."))
    elif entry.dispatches.exists():
        messages.error(request, _("This entry was sent off, so it stays with what was sent."))
    elif entry.uploads.unfinished().exists():
        messages.error(request, _("A recording is on its way for this entry, so it stays."))
    else:
        entry.delete()
        messages.success(request, _("The entry is removed."))
    return redirect("audition_detail", entry.audition_id)
