from collections import Counter
from collections.abc import Sequence

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from recordings.readiness.checklist import Standing, season_next_step, season_steps, standings_of
from recordings.readiness.oddities import ABOUT_WORDS, oddities_of
from repertoire.paging import page_of
from studio.access import role_required
from studio.models import Audition, Role, Season
from studio.request import SignedInRequest


@require_safe
@role_required(Role.DIRECTOR)
def season_set_up(request: SignedInRequest, pk: int) -> HttpResponse:
    """How far a season is set up, what comes next, and what is missing or odd in any of its auditions."""
    season = get_object_or_404(Season, pk=pk)
    standings = standings_of(season.auditions.select_related("season"))
    audition, next_step = season_next_step(season, standings)
    context = {
        "season": season,
        "steps": season_steps(standings),
        "next_step": next_step,
        "next_audition": audition,
        "page": page_of(request, standings),
        **_odd(request, standings),
    }
    return render(request, "recordings/season_set_up.html", context)


@require_safe
@role_required(Role.DIRECTOR)
def audition_set_up(request: SignedInRequest, pk: int) -> HttpResponse:
    """The same of one audition, by instrument and level."""
    audition = get_object_or_404(Audition.objects.select_related("season"), pk=pk)
    [standing] = standings_of([audition])
    context = {
        "audition": audition,
        "steps": standing.steps,
        "next_step": standing.next_step,
        "page": page_of(request, standing.groups),
        **_odd(request, [standing]),
    }
    return render(request, "recordings/audition_set_up.html", context)


def _odd(request: SignedInRequest, standings: Sequence[Standing]) -> dict:
    """All that is odd, or only what `?about=` names, in pages; how much of each there is."""
    found = oddities_of(standings)
    counted = Counter(odd.about for odd in found)
    about = request.GET.get("about", "")
    chosen = about if about in counted else ""
    return {
        "odd": page_of(request, [odd for odd in found if chosen in ("", odd.about)], key="odd"),
        "odd_count": len(found),
        "chosen": chosen,
        "kinds": [(kind, words, counted[kind]) for kind, words in ABOUT_WORDS.items() if counted[kind]],
    }
