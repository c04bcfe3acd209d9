from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from repertoire.access import excerpt_or_404, require_editor
from repertoire.models import Excerpt
from repertoire.uploads import takes_files
from studio.forms.correction import CorrectionForm


@takes_files
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
    return render(request, "studio/excerpt_correct.html", {"form": form, "excerpt": excerpt})
