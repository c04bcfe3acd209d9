from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db.models import ProtectedError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repertoire.access import excerpt_or_404, require_editor


@require_POST
@login_required
def excerpt_remove(request: HttpRequest, pk: int) -> HttpResponse:
    excerpt = excerpt_or_404(request.user, pk)
    require_editor(request.user)
    title = excerpt.title
    try:
        excerpt.delete()
    except ProtectedError:
        messages.error(
            request, _("“%(title)s” is set for an audition or a clinic, so it stays.") % {"title": title}
        )
        return redirect("excerpt_detail", pk)
    messages.success(request, _("“%(title)s” is removed.") % {"title": title})
    return redirect("excerpt_list")
