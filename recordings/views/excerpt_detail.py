"""One piece of music as its readers see it: the page, what stands at its bars, and takes measured before."""

from django.contrib.auth.decorators import login_required
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.cache import patch_vary_headers
from django.views.decorators.http import require_safe

from recordings.readiness.asked import cells_to_play
from recordings.takes.measure_again import outdated_count
from repertoire.access import excerpt_or_404, may_annotate, may_edit
from repertoire.offline import kept_offline
from repertoire.show.engraved import engraved_svg, likely_width
from repertoire.show.facts import facts
from repertoire.show.fingering import can_be_planned
from repertoire.show.margin import margin_of
from repertoire.show.play_along import controls
from repertoire.show.spoken import spoken_bars
from repertoire.show.stretches import numbered_stretch
from studio.access import may_ask_about
from studio.request import SignedInRequest
from studio.services.questions import questions_on


@require_safe
@login_required
@kept_offline
def excerpt_detail(request: SignedInRequest, pk: int) -> HttpResponse:
    excerpt = excerpt_or_404(request.user, pk)
    editor = may_edit(request.user)
    width_px = likely_width(request.headers)
    shown = numbered_stretch(excerpt, request.GET.get("part", ""))
    context = {
        "excerpt": excerpt,
        "facts": facts(excerpt),
        "svg": engraved_svg(excerpt, width_px, bars=shown, ribbon_room=False),
        "shown": shown,
        "width_px": width_px,
        "bars": spoken_bars(excerpt.score),
        "play": controls(excerpt, request.GET),
        "cells": cells_to_play(request.user, excerpt),
        "margin": margin_of(excerpt, request.user, questions_on(excerpt, request.user)),
        "may_ask": may_ask_about(excerpt, request.user),
        "may_edit": editor,
        "outdated_takes": outdated_count(excerpt) if editor else 0,
        "may_finger": may_annotate(request.user) and can_be_planned(excerpt),
    }
    response = render(request, "recordings/excerpt_detail.html", context)
    patch_vary_headers(response, ["User-Agent", "Sec-CH-UA-Mobile"])
    return response
