from collections import Counter

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from recordings.readiness.week import NEED_WORDS, matters_for
from repertoire.paging import page_of
from studio.access import role_required
from studio.models import Role
from studio.request import SignedInRequest


@require_safe
@role_required(Role.DIRECTOR, Role.TEACHER)
def this_week(request: SignedInRequest) -> HttpResponse:
    """What needs a person now, all of it or only what `?need=` names; a teacher sees the own students."""
    matters = matters_for(request.user)
    counted = Counter(matter.need for matter in matters)
    need = request.GET.get("need", "")
    chosen = need if need in counted else ""
    page = page_of(request, [matter for matter in matters if chosen in ("", matter.need)])
    context = {
        "page": page,
        "lines": [matter.line() for matter in page],
        "count": len(matters),
        "chosen": chosen,
        "needs": [(need, words, counted[need]) for need, words in NEED_WORDS.items() if counted[need]],
    }
    return render(request, "recordings/this_week.html", context)
