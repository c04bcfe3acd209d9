from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST

from repertoire.access import excerpt_or_404, require_editor
from repertoire.forms.correction import CorrectionForm
from repertoire.library.correction import measure_again
from repertoire.models import Excerpt


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def excerpt_correct(request: HttpRequest, pk: int) -> HttpResponse:
    """First the file, then what it changes; only the second sending saves."""
    excerpt = excerpt_or_404(request.user, pk)
    require_editor(request.user)
    if excerpt.kind == Excerpt.Kind.SCALE:
        raise Http404
    sent = (request.POST, request.FILES) if request.method == "POST" else ()
    form = CorrectionForm(*sent, excerpt=excerpt)
    if form.is_bound and form.is_confirmed:
        form.keep(request.user)
        messages.success(request, _("The corrected score is in place."))
        return redirect("excerpt_detail", excerpt.pk)
    return render(request, "repertoire/excerpt_correct.html", {"form": form, "excerpt": excerpt})


@require_POST
@login_required
def excerpt_measure_again(request: HttpRequest, pk: int) -> HttpResponse:
    excerpt = excerpt_or_404(request.user, pk)
    require_editor(request.user)
    count = measure_again(excerpt)
    said = ngettext("%(count)d take is measured again.", "%(count)d takes are measured again.", count)
    messages.success(request, said % {"count": count})
    return redirect("excerpt_detail", excerpt.pk)
