from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from recordings.access import cell_to_teach
from recordings.takes.deadlines import remind_now
from studio.request import SignedInRequest


@require_POST
@login_required
def requirement_remind(request: SignedInRequest, entry_id: int, requirement_id: int) -> HttpResponse:
    """Mail student and guardians that a take is awaited, because a teacher or director asks for it."""
    entry, requirement = cell_to_teach(request.user, entry_id, requirement_id)
    count = remind_now(entry, requirement, timezone.now())
    if count:
        words = ngettext("%(count)d mail is on its way.", "%(count)d mails are on their way.", count)
        messages.success(request, words % {"count": count})
    else:
        words = _(
            "Nobody was mailed: there is no account yet, these mails are switched off, or one went out today."
        )
        messages.error(request, words)
    chosen = {name: value for name in ("need", "page") if (value := request.POST.get(name))}
    return redirect(reverse("this_week", query=chosen))
