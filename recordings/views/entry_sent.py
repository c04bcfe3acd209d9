from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from recordings.access import entry_to_teach
from recordings.models import Statement
from recordings.reviews.typed import kept_text
from recordings.sending.dispatch import mark_sent, take_back
from recordings.sending.page import entry_context, rules_of, standings_of
from recordings.sending.signing import kinds_for, recordings_of, wordings
from studio.access import entry_or_404
from studio.models import Entry
from studio.request import SignedInRequest

LONGEST_CONFIRMATION = 2000


@require_POST
@login_required
def entry_sign(request: SignedInRequest, entry_id: int) -> HttpResponse:
    """A statement signed, or said to have been heard, for the takes chosen now."""
    entry, kind = entry_or_404(request.user, entry_id), request.POST.get("kind", "")
    if kind not in kinds_for(request.user, entry):
        raise PermissionDenied
    rules = rules_of(entry.audition_id)
    asked = wordings(rules, is_minor=entry.student.is_minor) if rules else {}
    [standing] = standings_of([entry], rules)
    recordings = recordings_of(standing.choices)
    if kind not in asked or not recordings:
        return _refused(request, entry, _("There is nothing to sign yet."))
    if "agreed" not in request.POST:
        return _refused(request, entry, _("Please tick the box if this is so."))
    if request.POST.get("takes") != "-".join(recordings):
        return _refused(request, entry, _("The takes have changed meanwhile. Please look at them again."))
    Statement.objects.create(
        entry=entry, kind=kind, wording=asked[kind], recordings=recordings, signed_by=request.user
    )
    messages.success(request, _("Thank you. It is written down for these takes."))
    return redirect("entry_sending", entry.pk)


@require_POST
@login_required
def entry_sent(request: SignedInRequest, entry_id: int) -> HttpResponse:
    """Marks it as sent, with the body's confirmation."""
    entry = entry_to_teach(request.user, entry_id)
    [standing] = standings_of([entry], rules_of(entry.audition_id))
    confirmation = kept_text(request.POST.get("confirmation", "")).strip()
    if len(confirmation) > LONGEST_CONFIRMATION:
        return _refused(request, entry, _("Please keep the confirmation under 2,000 letters."))
    if reason := mark_sent(standing, request.user, confirmation):
        return _refused(request, entry, reason)
    messages.success(request, _("The entry is marked as sent."))
    return redirect("entry_sending", entry.pk)


@require_POST
@login_required
def entry_unsent(request: SignedInRequest, entry_id: int) -> HttpResponse:
    entry = entry_to_teach(request.user, entry_id)
    [standing] = standings_of([entry], rules_of(entry.audition_id))
    take_back(standing, request.user)
    messages.success(request, _("The entry is no longer marked as sent."))
    return redirect("entry_sending", entry.pk)


def _refused(request: SignedInRequest, entry: Entry, reason: str) -> HttpResponse:
    context = entry_context(request.user, entry, error=reason)
    context["confirmation"] = request.POST.get("confirmation", "")
    return render(request, "recordings/entry_sending.html", context, status=422)
