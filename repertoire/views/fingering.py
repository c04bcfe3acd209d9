"""The position plan of an excerpt: its page, its options, locked notes, and showing it to everyone."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.cache import patch_cache_control, patch_vary_headers
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from repertoire.access import excerpt_or_404, require_annotator
from repertoire.forms.fingering import FingeringOptionsForm, LocksForm
from repertoire.models import Fingering
from repertoire.show.engraved import DESK_PX, engraved_svg, likely_width
from repertoire.show.fingering import Planned, can_be_planned, hide_from_everyone, show_to_everyone
from repertoire.show.stretches import stretch_with


def _fingering_or_404(request: HttpRequest, pk: int) -> Fingering:
    excerpt = excerpt_or_404(request.user, pk)
    require_annotator(request.user)
    if not can_be_planned(excerpt):
        raise Http404
    return Fingering.of(excerpt)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def fingering(request: HttpRequest, pk: int) -> HttpResponse:
    """POST keeps the options; `?bar=` opens the choices of one bar."""
    kept = _fingering_or_404(request, pk)
    form = FingeringOptionsForm(request.POST if request.method == "POST" else None, instance=kept)
    if form.is_bound and form.is_valid():
        form.save()
        messages.success(request, _("The fingering is planned again."))
        return redirect("fingering", pk)
    usable = Fingering.of(kept.excerpt) if form.is_bound else kept
    bar = request.GET.get("bar", "")[:10]
    locks = LocksForm(None, fingering=usable, bar=bar) if bar else None
    return _page(request, usable, form, locks, bar)


@require_POST
@login_required
def fingering_lock(request: HttpRequest, pk: int) -> HttpResponse:
    kept = _fingering_or_404(request, pk)
    bar = request.POST.get("bar", "")[:10]
    locks = LocksForm(request.POST, fingering=kept, bar=bar)
    if not locks.is_valid():
        return _page(request, kept, FingeringOptionsForm(None, instance=kept), locks, bar)
    locks.save()
    messages.success(
        request, _("Your choices in bar %(bar)s are kept; the rest is planned around them.") % {"bar": bar}
    )
    return redirect("fingering", pk)


@require_POST
@login_required
def fingering_show(request: HttpRequest, pk: int) -> HttpResponse:
    show_to_everyone(Planned(_fingering_or_404(request, pk)), request.user)
    messages.success(request, _("Everyone who plays this music now sees this fingering."))
    return redirect("fingering", pk)


@require_POST
@login_required
def fingering_hide(request: HttpRequest, pk: int) -> HttpResponse:
    hide_from_everyone(_fingering_or_404(request, pk))
    messages.success(request, _("The fingering is taken out of the music and the bar notes."))
    return redirect("fingering", pk)


@require_safe
@login_required
def fingering_svg(request: HttpRequest, pk: int) -> HttpResponse:
    """The music with the planned fingering, ?width= pixels wide."""
    planned = Planned(_fingering_or_404(request, pk))
    width = request.GET.get("width", "")
    width_px = int(width) if width.isdecimal() and len(width) < 6 else DESK_PX
    svg = engraved_svg(planned.excerpt, width_px, ribbon_room=False, fingerings=planned.texts)
    response = HttpResponse(svg, content_type="image/svg+xml")
    patch_cache_control(response, private=True, no_cache=True)
    return response


def _page(request, kept: Fingering, form, locks, bar: str) -> HttpResponse:
    planned = Planned(kept)
    if locks:
        locks.planned = planned.full_texts
    width_px = likely_width(request.headers)
    context = {
        "excerpt": kept.excerpt,
        "fingering": kept,
        "planned": planned,
        "form": form,
        "locks": locks,
        "bar": bar,
        "svg": engraved_svg(kept.excerpt, width_px, ribbon_room=False, fingerings=planned.texts),
        "shown": stretch_with(kept.excerpt),
        "width_px": width_px,
        "is_shown": bool(kept.shown) and kept.shown == planned.texts,
    }
    response = render(request, "repertoire/fingering.html", context)
    patch_vary_headers(response, ["User-Agent", "Sec-CH-UA-Mobile"])
    return response
