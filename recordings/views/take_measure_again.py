from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from recordings.access import take_to_answer
from recordings.jobs.queue import measure_again


@require_POST
@login_required
def take_measure_again(request: HttpRequest, take_id: int) -> HttpResponse:
    take = take_to_answer(request.user, take_id)
    if measure_again(take.analysis):
        messages.success(request, _("The take is being measured again. What you wrote stays."))
    else:
        messages.info(request, _("This take is being measured already."))
    return redirect("take_detail", take.pk)
