from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from studio.access import child_or_403
from studio.forms.leaving import WithdrawConsentForm
from studio.forms.people import ConsentForm
from studio.request import SignedInRequest
from studio.services.consent import agree_anew, asked_for_longer, consent_wording, give_consent


@login_required
def consent(request: SignedInRequest, pk: int) -> HttpResponse:
    student = child_or_403(request.user, pk)
    standing = student.consents.filter(withdrawn_at=None).select_related("given_by").first()
    initial = {"panels": bool(standing and standing.for_panels)}
    form = ConsentForm(request.POST if request.method == "POST" else None, initial=initial)
    if request.method == "POST" and form.is_valid():
        panels = form.cleaned_data["panels"]
        if standing and (asked_for_longer(standing) or panels != standing.for_panels):
            agree_anew(student, request.user, panels=panels)
            messages.success(request, _("Thank you. Your agreement is recorded."))
        elif give_consent(student, request.user, panels=panels):
            messages.success(request, _("Thank you. Your agreement is recorded."))
        return redirect("consent", student.pk)
    return render(
        request,
        "studio/consent.html",
        {
            "student": student,
            "form": form,
            "standing": standing,
            "wording": standing.wording if standing else consent_wording(student),
            "longer": asked_for_longer(standing) if standing else [],
            "wording_now": consent_wording(student),
            "receipts": student.consents.order_by("-given_at", "-pk"),
        },
    )


@login_required
def consent_withdraw(request: SignedInRequest, pk: int) -> HttpResponse:
    """Says what it means, and withdraws once that is ticked."""
    student = child_or_403(request.user, pk)
    standing = student.consents.filter(withdrawn_at=None).first()
    if standing is None:
        return redirect("consent", student.pk)
    form = WithdrawConsentForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        standing.withdraw()
        messages.success(request, _("Your agreement is withdrawn. No new take can be handed in."))
        return redirect("consent_receipt", student.pk, standing.pk)
    context = {"student": student, "form": form, "standing": standing}
    return render(request, "studio/consent_withdraw.html", context)
