"""The engraved score as SVG text, kept in the cache: engraving is pure, so content and width name it."""

import zlib

from django.core.cache import cache

from repertoire.models import Excerpt
from repertoire.notation.engraving import engrave

# Raise when the engraver or its options change, so that old drawings are not served.
EDITION = 1
NARROWEST_PX, WIDEST_PX, STEP_PX = 320, 1800, 20
KEEP_S = 7 * 24 * 3600


def drawn_width(width_px: int) -> int:
    """The width really drawn: within limits and in steps, so that few drawings serve every screen."""
    return max(NARROWEST_PX, min(WIDEST_PX, width_px // STEP_PX * STEP_PX))


def drawing_key(excerpt: Excerpt, width_px: int, bars: tuple[str, str] | None = None) -> str:
    part = "" if bars is None else ":" + "-".join(bars).encode().hex()
    return f"engraved:{EDITION}:{excerpt.content_hash}:{drawn_width(width_px)}{part}"


def engraved_svg(excerpt: Excerpt, width_px: int, *, bars: tuple[str, str] | None = None) -> str:
    """One tall SVG at most `width_px` wide; element ids are those of the canonical MusicXML.

    `bars` are printed bar numbers (from, to); all bars when None.
    """
    key = drawing_key(excerpt, width_px, bars)
    kept = cache.get(key)
    if kept is not None:
        return zlib.decompress(kept).decode()
    svg = engrave(excerpt.musicxml, width_px=drawn_width(width_px), bars=bars).svg
    cache.set(key, zlib.compress(svg.encode()), KEEP_S)
    return svg
