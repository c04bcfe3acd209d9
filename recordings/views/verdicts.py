from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from recordings.reviews.verdicts import reasons, verdicts_by_topic
from studio.access import role_required
from studio.models import Role
from studio.request import SignedInRequest


@require_safe
@role_required(Role.DIRECTOR)
def verdicts(request: SignedInRequest) -> HttpResponse:
    """How often teachers kept, reworded, left out or called wrong what the measuring drafted."""
    context = {"topics": verdicts_by_topic(), "reasons": reasons()}
    return render(request, "recordings/verdicts.html", context)
