from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from studio.access import own_student_or_403
from studio.download import text_answer
from studio.request import SignedInRequest
from studio.services.consent import receipt_text


@require_safe
@login_required
def consent_receipt(request: SignedInRequest, pk: int, consent_id: int) -> HttpResponse:
    """One agreement with its dates and words, to be printed, or as a text with `?as=text`."""
    student = own_student_or_403(request.user, pk)
    agreement = get_object_or_404(student.consents.select_related("given_by", "student"), pk=consent_id)
    if request.GET.get("as") == "text":
        return text_answer(receipt_text(agreement), f"agreement-{agreement.pk}")
    return render(request, "studio/consent_receipt.html", {"student": student, "agreement": agreement})
