from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repertoire.access import excerpt_or_404, require_editor


@require_POST
@login_required
def excerpt_confirm(request: HttpRequest, pk: int) -> HttpResponse:
    excerpt = excerpt_or_404(request.user, pk)
    require_editor(request.user)
    excerpt.confirm_order()
    messages.success(request, _("The order of play is confirmed."))
    return redirect("excerpt_detail", excerpt.pk)
