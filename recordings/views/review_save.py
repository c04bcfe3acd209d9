"""Saving a draft: by the page's own script as JSON, or by the form's button."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest, JsonResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from recordings.access import take_to_answer
from recordings.models import Review
from recordings.reviews.draft import ensure_draft
from recordings.reviews.form import ReviewForm
from recordings.reviews.page import conflict_of, store_form
from recordings.reviews.save import AlreadyReleased, SavedElsewhere, save_review


@require_POST
@login_required
def review_save(request: HttpRequest, pk: int) -> HttpResponse:
    take = take_to_answer(request.user, pk)
    review = ensure_draft(take)
    if request.content_type == "application/json":
        return _save_json(request, review)
    form = ReviewForm.from_post(review, request.POST)
    unsaved = store_form(take, review, form, by=request.user)
    if unsaved is not None:
        return render(request, "recordings/review.html", unsaved.context, status=unsaved.status)
    messages.success(request, _("The draft is saved. The student does not see it yet."))
    return redirect("review", pk=take.pk)


def _save_json(request: HttpRequest, review: Review) -> HttpResponse:
    try:
        form = ReviewForm.from_json(review, request.body)
        edition = form.known_edition
    except ValueError:
        return HttpResponseBadRequest(_("This could not be read as a draft."))
    try:
        ids = save_review(review, form.text, edition=edition, window=form.window, by=request.user)
    except (SavedElsewhere, AlreadyReleased) as trouble:
        if not review.is_released and form.sent_unchanged:
            return _saved(review, form, [remark.pk for remark in form.remarks])
        html = render_to_string(
            "recordings/_review_conflict.html", {"conflict": conflict_of(review, trouble)}, request
        )
        return JsonResponse({"edition": review.edition, "html": html}, status=409)
    return _saved(review, form, ids)


def _saved(review: Review, form: ReviewForm, ids: list[int | None]) -> JsonResponse:
    at = timezone.localtime(review.saved_at) if review.saved_at else None
    return JsonResponse(
        {
            "edition": review.edition,
            "saved_at": date_format(at, "H:i:s") if at else "",
            "remarks": ids,
            "errors": form.errors,
        }
    )
