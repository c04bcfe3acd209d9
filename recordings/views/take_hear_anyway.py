from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from recordings.access import take_to_remove
from studio.request import SignedInRequest


@require_POST
@login_required
def take_hear_anyway(request: SignedInRequest, take_id: int) -> HttpResponse:
    """Whoever handed a take in that the measuring can make nothing of puts it before the teacher."""
    if take_to_remove(request.user, take_id).ask_to_be_heard():
        messages.success(request, _("Your teacher will hear this take."))
    return redirect("take_detail", take_id)
