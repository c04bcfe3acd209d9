from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from recordings.access import own_sight_reading, sight_or_404
from recordings.sight.lifetime import remove_take
from recordings.sight.page import drawn, is_shown, reading_context
from repertoire.show.engraved import DESK_PX, likely_width
from studio.request import SignedInRequest


@require_safe
@login_required
def sight_reading(request: SignedInRequest, pk: int) -> HttpResponse:
    """One exercise: before it is looked at, while it is, and what was heard."""
    reading = sight_or_404(request.user, pk)
    context = reading_context(request.user, reading, width_px=likely_width(request.headers))
    return render(request, "recordings/sight_reading.html", context)


@require_safe
@login_required
def sight_svg(request: SignedInRequest, pk: int) -> HttpResponse:
    """The music drawn ?width= pixels wide; nothing of it before it is looked at."""
    reading = sight_or_404(request.user, pk)
    if not is_shown(request.user, reading):
        raise Http404
    width = request.GET.get("width", "")
    width_px = int(width) if width.isdecimal() and len(width) < 6 else DESK_PX
    return HttpResponse(drawn(reading, width_px), content_type="image/svg+xml")


@require_POST
@login_required
def sight_look(request: SignedInRequest, pk: int) -> HttpResponse:
    """From now on the music is shown."""
    own_sight_reading(request.user, pk).begin_looking()
    return redirect("sight_reading", pk)


@require_POST
@login_required
def sight_hand_in(request: SignedInRequest, pk: int) -> HttpResponse:
    """Let the teacher hear it, or no longer."""
    reading = own_sight_reading(request.user, pk)
    if reading.handed_at:
        reading.take_back()
    else:
        reading.hand_in()
    return redirect("sight_reading", pk)


@require_POST
@login_required
def sight_remove(request: SignedInRequest, pk: int) -> HttpResponse:
    """The take goes at once; the exercise stays, so that it never comes again."""
    remove_take(own_sight_reading(request.user, pk))
    return redirect("sight_room")
