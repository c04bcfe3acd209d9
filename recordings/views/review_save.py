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

from recordings.models import Review, Take
from recordings.reviews.draft import ensure_draft
from recordings.reviews.form import ReviewForm
from recordings.reviews.page import mark_fields, remark_fields, review_context
from recordings.reviews.save import AlreadyReleased, SavedElsewhere, save_review
from recordings.views.review_access import take_to_answer


@require_POST
@login_required
def review_save(request: HttpRequest, pk: int) -> HttpResponse:
    take = take_to_answer(request.user, pk)
    review = ensure_draft(take)
    if request.content_type == "application/json":
        return _save_json(request, review)
    form = ReviewForm.from_post(review, request.POST)
    refused = store_form(request, take, review, form)
    if refused is not None:
        return refused
    messages.success(request, _("The draft is saved. The student does not see it yet."))
    return redirect("review", pk=take.pk)


def store_form(request: HttpRequest, take: Take, review: Review, form: ReviewForm) -> HttpResponse | None:
    """Save a posted form; None when all of it is stored, else the page that says what is not and keeps it."""
    if form.edition is None:
        # Not sent from the review page: an empty form must not empty the review.
        return None
    try:
        save_review(review, form.text, edition=form.edition, by=request.user)
    except (SavedElsewhere, AlreadyReleased) as trouble:
        context = review_context(take, review, form, conflict=conflict_of(review, trouble))
        return render(request, "recordings/review.html", context, status=409)
    if form.errors:
        return render(request, "recordings/review.html", review_context(take, review, form), status=422)
    return None


def _save_json(request: HttpRequest, review: Review) -> HttpResponse:
    try:
        form = ReviewForm.from_json(review, request.body)
    except ValueError:
        return HttpResponseBadRequest(_("This could not be read as a draft."))
    try:
        ids = save_review(review, form.text, edition=form.edition, window=form.window, by=request.user)
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


def conflict_of(review: Review, trouble: Exception) -> dict:
    """What stands in the other window, for the person to compare."""
    return {
        "review": review,
        "is_released": isinstance(trouble, AlreadyReleased),
        "marks": mark_fields(review),
        "remarks": remark_fields(review),
    }
