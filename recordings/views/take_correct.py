from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from recordings.access import take_to_answer
from recordings.models import Take
from recordings.reviews.correction_form import CorrectionForm
from recordings.reviews.draft import ensure_draft
from recordings.reviews.page import review_context
from recordings.reviews.queue_filter import QueueFilter
from recordings.takes.correcting import AnswerIsOut, CorrectedElsewhere, Said, correct
from studio.request import SignedInRequest


@require_POST
@login_required
def take_correct(request: SignedInRequest, take_id: int) -> HttpResponse:
    """Keeps what is said against the measuring and has the take measured again; `undo` takes it back."""
    take = take_to_answer(request.user, take_id)
    form = CorrectionForm.from_post(take, request.POST)
    said = Said() if "undo" in request.POST else form.said()
    if form.edition is None:
        form.errors["edition"] = _("Nothing was changed: please open this take anew and try again.")
    if form.errors:
        return _refused(request, take, form, status=422)
    try:
        correct(take, said, edition=form.edition or 0, by=request.user)
    except CorrectedElsewhere:
        form.errors["edition"] = _(
            "This take was corrected in another window meanwhile. Open it anew and correct what is left."
        )
        return _refused(request, take, form, status=409)
    except AnswerIsOut:
        form.errors["edition"] = _("The answer is released: withdraw it before you correct what it rests on.")
        return _refused(request, take, form, status=409)
    if request.accepts("text/html"):
        messages.success(request, _("The take is measured again with what you said. What you wrote stays."))
        return redirect(f"{reverse('review', args=[take.pk])}{QueueFilter.of(request.GET).query}")
    return JsonResponse({"measuring": True})


def _refused(request: SignedInRequest, take: Take, form: CorrectionForm, *, status: int) -> HttpResponse:
    if not request.accepts("text/html"):
        return JsonResponse({"errors": form.errors}, status=status)
    context = review_context(take, ensure_draft(take), by=request.user, correcting=form)
    return render(request, "recordings/review.html", context, status=status)
