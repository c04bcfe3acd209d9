"""The engraved score as SVG text, kept in the cache: engraving is pure, so content and width name it."""

import hashlib
import json
import zlib
from collections.abc import Collection, Mapping
from typing import Any

from django.core.cache import caches

from repertoire.models import Excerpt, shown_fingerings
from repertoire.notation.draw.engraving import engrave
from repertoire.notation.draw.svg_marks import with_pale_bars
from repertoire.show.aside import ASIDE_NOTES, drawn_aside
from repertoire.show.stretches import drawn_notes, stretch_with, within_stretch

# Raise when the engraver or its options change, so that old drawings are not served.
EDITION = 2
NARROWEST_PX, WIDEST_PX, STEP_PX = 320, 1800, 20
KEEP_S = 7 * 24 * 3600
DESK_PX, PHONE_PX = 1080, 320


def drawn_width(width_px: int) -> int:
    """The width really drawn: within limits and in steps, so that few drawings serve every screen."""
    return max(NARROWEST_PX, min(WIDEST_PX, width_px // STEP_PX * STEP_PX))


def likely_width(headers) -> int:
    """A first guess at the reader's screen from the request's headers; the page's script draws it to fit."""
    phone = headers.get("Sec-CH-UA-Mobile") == "?1" or "Mobi" in headers.get("User-Agent", "")
    return PHONE_PX if phone else DESK_PX


def drawing_key(
    excerpt: Excerpt,
    width_px: int,
    *,
    bars: tuple[str, str] | None = None,
    ribbon_room: bool = True,
    every_bar: bool = True,
    fingerings: Mapping[str, str] | None = None,
) -> str:
    fingerings = shown_fingerings(excerpt) if fingerings is None else fingerings
    part = "" if bars is None else ":" + "-".join(bars).encode().hex()
    room = "ribbons" if ribbon_room else "plain"
    numbers = "" if every_bar else ":systems"
    fingers = f":{_content_key(fingerings)}" if fingerings else ""
    return f"engraved:{EDITION}:{excerpt.content_hash}:{drawn_width(width_px)}:{room}{numbers}{part}{fingers}"


def engraved_svg(
    excerpt: Excerpt,
    width_px: int,
    *,
    bars: tuple[str, str] | None = None,
    ribbon_room: bool = True,
    every_bar: bool = True,
    fingerings: Mapping[str, str] | None = None,
    unasked: Collection[str] = (),
) -> str:
    """One tall SVG `drawn_width(width_px)` wide; element ids are those of the canonical MusicXML.

    `bars` are printed bar numbers (from, to), all bars when None; raises `BadScore` for bars that are not
    there. `ribbon_room` leaves room for ribbons below every staff. `every_bar` numbers every bar, not only
    the first of a system. `fingerings` (note id to text) take the place of printed ones, the
    ones a teacher has shown when None. The bars whose ids
    are `unasked` are drawn pale; that changes the kept drawing only as it goes out, so it costs next to
    nothing.

    Long music is drawn aside (raises `DrawingLater`, `CannotBeDrawn`); of very long music only a stretch.
    """
    fingerings = shown_fingerings(excerpt) if fingerings is None else fingerings
    options: dict[str, Any] = {
        "bars": bars,
        "ribbon_room": ribbon_room,
        "every_bar": every_bar,
        "fingerings": fingerings,
    }
    key = drawing_key(excerpt, width_px, **options)
    if drawn_notes(excerpt.musicxml) > ASIDE_NOTES:
        within = within_stretch(excerpt.score, bars) if bars else stretch_with(excerpt)
        options |= {"bars": within, "fingerings": dict(fingerings)}
        aside = f"{drawing_key(excerpt, width_px, **options)}:aside"
        options["width_px"] = drawn_width(width_px)
        return with_pale_bars(drawn_aside(aside, excerpt.musicxml, options)[0], unasked)
    kept = caches["drawings"].get(key)
    if kept is not None:
        return with_pale_bars(zlib.decompress(kept).decode(), unasked)
    svg = engrave(excerpt.musicxml, width_px=drawn_width(width_px), **options)
    caches["drawings"].set(key, zlib.compress(svg.encode()), KEEP_S)
    return with_pale_bars(svg, unasked)


def _content_key(fingerings: Mapping[str, str]) -> str:
    return hashlib.sha256(json.dumps(sorted(fingerings.items())).encode()).hexdigest()[:20]
