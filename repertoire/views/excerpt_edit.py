from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from repertoire.access import excerpt_or_404, require_editor
from repertoire.forms.excerpt import ExcerptEditForm
from repertoire.forms.tempo_changes import tempo_lines
from repertoire.library.written_tempos import keep_tempos, with_tempos
from repertoire.models import Excerpt


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def excerpt_edit(request: HttpRequest, pk: int) -> HttpResponse:
    excerpt = excerpt_or_404(request.user, pk)
    require_editor(request.user)
    posted = request.POST if request.method == "POST" else None
    form = ExcerptEditForm(posted, instance=excerpt)
    tempos = tempo_lines(posted, excerpt) if excerpt.kind != Excerpt.Kind.SCALE else None
    if posted is not None and form.is_valid() & (tempos is None or tempos.is_valid()):
        musicxml = excerpt.musicxml if tempos is None else with_tempos(excerpt, tempos.changes)
        if form.is_free(musicxml):
            keep_tempos(excerpt, musicxml, by=request.user)
            messages.success(request, _("“%(title)s” is saved.") % {"title": excerpt.title})
            return redirect("excerpt_detail", excerpt.pk)
    context = {"form": form, "tempos": tempos, "excerpt": excerpt, "in_use": excerpt.is_in_use}
    return render(request, "repertoire/excerpt_edit.html", context)
