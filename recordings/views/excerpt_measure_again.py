from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from recordings.takes.measure_again import measure_outdated_again
from repertoire.access import excerpt_or_404, require_editor


@require_POST
@login_required
def excerpt_measure_again(request: HttpRequest, pk: int) -> HttpResponse:
    excerpt = excerpt_or_404(request.user, pk)
    require_editor(request.user)
    count = measure_outdated_again(excerpt)
    sentence = ngettext("%(count)d take is measured again.", "%(count)d takes are measured again.", count)
    messages.success(request, sentence % {"count": count})
    return redirect("excerpt_detail", excerpt.pk)
