from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from recordings.reviews.agreement import agreements, reasons
from studio.access import role_required
from studio.models import Role
from studio.request import SignedInRequest


@require_safe
@role_required(Role.DIRECTOR)
def agreement(request: SignedInRequest) -> HttpResponse:
    """How often teachers kept, reworded, left out or called wrong what the measuring drafted."""
    context = {"agreements": agreements(), "reasons": reasons()}
    return render(request, "recordings/agreement.html", context)
