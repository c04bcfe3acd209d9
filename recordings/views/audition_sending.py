from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from recordings.access import entries_of_staff
from recordings.sending.page import standings_of
from repertoire.paging import page_of
from studio.access import role_required
from studio.models import Audition, Role
from studio.request import SignedInRequest


@require_safe
@role_required(Role.DIRECTOR, Role.TEACHER)
def audition_sending(request: SignedInRequest, pk: int) -> HttpResponse:
    """Each entry beside the body's rules: what is broken, what waits, what can go."""
    audition = get_object_or_404(Audition.objects.select_related("sending_rules"), pk=pk)
    rules = audition.sending_rules.rules if hasattr(audition, "sending_rules") else None
    entries = entries_of_staff(request.user).filter(audition=audition)
    page = page_of(
        request, entries.select_related("student", "audition", "bundle").order_by("student__name", "pk")
    )
    context = {
        "audition": audition,
        "rules": rules,
        "page": page,
        "standings": standings_of(list(page.object_list), rules),
    }
    return render(request, "recordings/audition_sending.html", context)
