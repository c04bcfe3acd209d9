"""Writing, changing and removing what stands at a bar."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from repertoire.access import bar_note_or_404, excerpt_or_404, require_annotator, require_author
from repertoire.forms.bar_note import BarNoteForm
from repertoire.models import BarNote


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def bar_note_add(request: HttpRequest, pk: int) -> HttpResponse:
    """`?bar=` and `?note=` fill the form in beforehand."""
    excerpt = excerpt_or_404(request.user, pk)
    require_annotator(request.user)
    asked = {"from_bar": request.GET.get("bar", "")[:10], "note_id": request.GET.get("note", "")[:40]}
    note = BarNote(excerpt=excerpt, author_id=request.user.pk, **asked)
    return _note_form(request, note, _("New bar note"))


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def bar_note_edit(request: HttpRequest, pk: int) -> HttpResponse:
    note = bar_note_or_404(request.user, pk)
    require_author(request.user, note)
    note.mark_edited()
    return _note_form(request, note, _("Change the bar note"))


def _note_form(request: HttpRequest, note: BarNote, heading: str) -> HttpResponse:
    form = BarNoteForm(request.POST if request.method == "POST" else None, instance=note)
    if form.is_bound and form.is_valid():
        form.save()
        messages.success(request, _("The note at %(bars)s is saved.") % {"bars": note.bars_text})
        return redirect("excerpt_detail", note.excerpt_id)
    context = {"form": form, "heading": heading, "note": note, "excerpt": note.excerpt}
    return render(request, "repertoire/bar_note_form.html", context)


@require_POST
@login_required
def bar_note_remove(request: HttpRequest, pk: int) -> HttpResponse:
    note = bar_note_or_404(request.user, pk)
    require_author(request.user, note)
    note.delete()
    messages.success(request, _("The note at %(bars)s is removed.") % {"bars": note.bars_text})
    return redirect("excerpt_detail", note.excerpt_id)
