"""Showing a review to the student, and taking it back; both are safe to send twice."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.html import format_html
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from recordings.access import take_to_answer
from recordings.models import Review, Take
from recordings.reviews.draft import ensure_draft
from recordings.reviews.form import ReviewForm, whole_number
from recordings.reviews.page import conflict_of, review_context, store_form
from recordings.reviews.queue_filter import QueueFilter
from recordings.reviews.release import NotEveryCaptionMarked, release_review, withdraw_review
from recordings.reviews.save import SavedElsewhere
from studio.models import Notice
from studio.request import SignedInRequest
from studio.services.notices import tell


@require_POST
@login_required
def review_release(request: SignedInRequest, pk: int) -> HttpResponse:
    """With `confirmed` the stored edition is released; without, the posted draft is saved and asked about."""
    take = take_to_answer(request.user, pk)
    review = ensure_draft(take)
    if review.is_released:
        return redirect("review", pk=take.pk)
    if "confirmed" not in request.POST:
        return _ask(request, take, review)
    return _release(request, take, review, edition=whole_number(request.POST.get("edition")))


def _ask(request: SignedInRequest, take: Take, review: Review) -> HttpResponse:
    form = ReviewForm.from_post(review, request.POST)
    unsaved = store_form(take, review, form, by=request.user)
    if unsaved is not None:
        return render(request, "recordings/review.html", unsaved.context, status=unsaved.status)
    if review.unmarked_captions:
        return _ask_marks(request, take, review)
    context = {"take": take, "review": review, "student": take.entry.student}
    return render(request, "recordings/review_confirm.html", context)


def _release(
    request: SignedInRequest, take: Take, review: Review, *, edition: int | None, again: str = ""
) -> HttpResponse:
    try:
        with transaction.atomic():
            released = release_review(review, by=request.user, edition=edition, again=again)
            if released:
                address = reverse("take_detail", args=[take.pk])
                tell(Notice.Kind.ANSWER, take.entry.student, about=f"take {take.pk}", path=address)
    except NotEveryCaptionMarked:
        return _ask_marks(request, take, review)
    except SavedElsewhere as trouble:
        context = review_context(take, review, by=request.user, conflict=conflict_of(review, trouble))
        return render(request, "recordings/review.html", context, status=409)
    if released:
        _say_released(request, take)
    asked = QueueFilter.of(request.GET)
    following = asked.after(take, request.user) or take
    return redirect(f"{reverse('review', args=[following.pk])}{asked.query}")


@require_POST
@login_required
def review_record_again(request: SignedInRequest, pk: int) -> HttpResponse:
    """Answers a take that cannot be heard in one click, without marks: please record again.

    What stands on the page is stored first, so that words of the last second go out with it.
    """
    take = take_to_answer(request.user, pk)
    review = ensure_draft(take)
    edition = whole_number(request.POST.get("edition"))
    if "words" in request.POST and not review.is_released:
        form = ReviewForm.from_post(review, request.POST)
        unsaved = store_form(take, review, form, by=request.user, minds_marks=False)
        if unsaved is not None:
            return render(request, "recordings/review.html", unsaved.context, status=unsaved.status)
        edition = review.edition
    reason = request.POST.get("again", "")
    if reason not in Review.Again.values:
        messages.error(request, _("Please choose why it should be recorded again."))
        return redirect("review", pk=take.pk)
    return _release(request, take, review, edition=edition, again=reason)


def _say_released(request: SignedInRequest, take: Take) -> None:
    """With the way back, since the page goes on to the next take by itself."""
    text = _("The review is released: %(name)s can read it now.") % {"name": take.entry.student.name}
    address = reverse("review", args=[take.pk])
    messages.success(request, format_html('{} <a href="{}">{}</a>', text, address, _("Back to it")))


def _ask_marks(request: SignedInRequest, take: Take, review: Review) -> HttpResponse:
    context = review_context(take, review, by=request.user, ask_marks=True)
    return render(request, "recordings/review.html", context, status=422)


@require_POST
@login_required
def review_withdraw(request: SignedInRequest, pk: int) -> HttpResponse:
    take = take_to_answer(request.user, pk)
    review = Review.objects.filter(take=take).first()
    if review and withdraw_review(review, by=request.user):
        messages.success(request, _("The review is withdrawn: the student no longer sees it."))
    return redirect("review", pk=take.pk)
