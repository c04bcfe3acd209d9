from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from repertoire.access import excerpt_or_404, require_editor
from repertoire.forms.excerpt import ExcerptEditForm


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def excerpt_edit(request: HttpRequest, pk: int) -> HttpResponse:
    excerpt = excerpt_or_404(request.user, pk)
    require_editor(request.user)
    form = ExcerptEditForm(request.POST if request.method == "POST" else None, instance=excerpt)
    if form.is_bound and form.is_valid():
        form.save()
        messages.success(request, _("“%(title)s” is saved.") % {"title": excerpt.title})
        return redirect("excerpt_detail", excerpt.pk)
    context = {"form": form, "excerpt": excerpt, "in_use": excerpt.is_in_use}
    return render(request, "repertoire/excerpt_edit.html", context)
