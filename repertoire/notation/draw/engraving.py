"""Engraving: one tall SVG of continuous systems, with the canonical ids on every bar and note.

The same score and width give the same SVG, byte for byte. The SVG carries no `<style>` and no fonts, so it
can stand in a page with a strict content policy; it draws in the current text colour of the page. Widths and
heights are pixels of the SVG; Verovio's inner units are named where they are meant.
"""

import re
from collections.abc import Mapping
from xml.etree.ElementTree import Element

from repertoire.notation import messages
from repertoire.notation.draw.fingering_marks import write_fingerings
from repertoire.notation.draw.svg_marks import numbers_clear_of_endings
from repertoire.notation.order.forms import printed_range
from repertoire.notation.order.printed_order import drawn_text, toolkit
from repertoire.notation.read.reading import load_canonical
from repertoire.notation.score import BadScore
from repertoire.notation.xml import parse_trusted

RIBBON_ROOM_UNITS = 34  # half staff spaces below each system: three ribbons of about a staff's height
PLAIN_ROOM_UNITS = 8
MARGIN_PX = 50
TALLEST_PX = 60_000  # Verovio's greatest page height


def engrave(
    musicxml: str,
    *,
    width_px: int,
    bars: tuple[str, str] | None = None,
    scale: int = 40,
    ribbon_room: bool = True,
    every_bar: bool = True,
    fingerings: Mapping[str, str] | None = None,
) -> str:
    """Engrave a canonical MusicXML, or its printed bars (from, to), `width_px` wide.

    `scale` is the size of the music in percent (40: a staff of 29 px); `ribbon_room` leaves room for ribbons
    below every staff; `every_bar` numbers every bar, not only the first of each system; `fingerings` by note
    id take the place of printed ones. Returns one SVG. Raises `BadScore` for bars that are not there.
    """
    pages = _pages(
        musicxml,
        _options(width_px, scale, ribbon_room, every_bar, TALLEST_PX),
        bars=bars,
        fingerings=fingerings,
    )
    return _stacked(pages)


def engrave_pages(
    musicxml: str,
    *,
    width_px: int,
    height_px: int,
    bars: tuple[str, str] | None = None,
    scale: int = 40,
    every_bar: bool = True,
    fingerings: Mapping[str, str] | None = None,
) -> tuple[str, ...]:
    """The same for paper: one SVG a page, none taller than `height_px`, each as tall as its music."""
    options = _options(width_px, scale, False, every_bar, height_px * 100 // scale)
    return tuple(_pages(musicxml, options, bars=bars, fingerings=fingerings))


def _pages(
    musicxml: str,
    options: dict[str, object],
    *,
    bars: tuple[str, str] | None,
    fingerings: Mapping[str, str] | None,
) -> list[str]:
    tree = parse_trusted(musicxml)
    _drop_part_name(tree)
    if fingerings:
        write_fingerings(tree, fingerings)
    verovio_toolkit = toolkit(options)
    if not verovio_toolkit.loadData(drawn_text(tree)):
        raise BadScore(messages.NOT_ENGRAVED())
    if bars is not None:
        low, high = printed_range(load_canonical(musicxml), *bars)
        ids = [measure.get("id", "") for measure in tree.iter("measure")]
        verovio_toolkit.select({"start": ids[low], "end": ids[high]})
        verovio_toolkit.redoLayout()
    return [_plain_style(verovio_toolkit.renderToSVG(k + 1)) for k in range(verovio_toolkit.getPageCount())]


def _options(
    width_px: int, scale: int, ribbon_room: bool, every_bar: bool, page_height: int
) -> dict[str, object]:
    room = RIBBON_ROOM_UNITS if ribbon_room else PLAIN_ROOM_UNITS
    return {
        "breaks": "auto",
        "pageWidth": width_px * 100 // scale,
        "pageHeight": page_height,
        "adjustPageHeight": True,
        "scale": scale,
        "header": "none",
        "footer": "none",
        "mnumInterval": 1 if every_bar else 0,
        "svgViewBox": True,
        "svgAdditionalAttribute": ["measure@n"],
        "spacingSystem": room,
        "pageMarginLeft": MARGIN_PX,
        "pageMarginRight": MARGIN_PX,
        "pageMarginTop": MARGIN_PX + 30,
        "pageMarginBottom": min(500, MARGIN_PX + room * 9) if ribbon_room else MARGIN_PX,
        "smuflTextFont": "none",
    }


def _drop_part_name(tree: Element) -> None:
    """The page around the music names the instrument; a label would only narrow the first line."""
    for name in tree.iterfind("part-list/score-part/part-name"):
        name.text = ""


STYLE = re.compile(r"\s*<style\b.*?</style>", re.DOTALL)
# Verovio's own style rules as attributes, which no content policy forbids.
CLASS_ATTRIBUTES = {
    "tempo": 'font-weight="bold" transform="translate(0 -300)"',  # clear of the bar numbers
    "reh": 'font-weight="bold"',
    "ending": 'font-weight="bold"',
    "fing": 'font-weight="bold"',
    "dir": 'font-style="italic"',
    "dynam": 'font-style="italic"',
    "mNum": 'font-style="italic"',
}
CLASSED_GROUP = re.compile(r'<g id="([^"]*)" class="(' + "|".join(CLASS_ATTRIBUTES) + r")\b")
PLACEHOLDER = re.compile(r'(<g id="[^"]*" class="[^"]*\bplaceholder\b[^"]*")')
MUSIC_TEXT = re.compile(r'<tspan font-family="[^"]*" font-size="[^"]*">([^<]*[\uE000-\uF8FF][^<]*)</tspan>')
TEXT_SIZE = 405  # what Verovio gives the words of a tempo mark, in inner units
PRIVATE = re.compile(r"[\uE000-\uF8FF]")
# Music-font characters inside text, in characters or words that every text font has.
READABLE = {
    "\ueca2": "whole note",
    "\ueca3": "half note",
    "\ueca5": "♩",
    "\ueca7": "♪",
    "\ueca9": "sixteenth note",
    "\ue1d2": "whole note",
    "\ue1d3": "half note",
    "\ue1d5": "♩",
    "\ue1d7": "♪",
    "\ue1d9": "sixteenth note",
    "\uecb7": ".",
    "\ue1e7": ".",
    "\ue260": "♭",
    "\ue261": "♮",
    "\ue262": "♯",
}


def _plain_style(svg: str) -> str:
    svg = STYLE.sub("", svg, count=1)
    svg = CLASSED_GROUP.sub(lambda m: f'<g id="{m[1]}" {CLASS_ATTRIBUTES[m[2]]} class="{m[2]}', svg)
    svg = PLACEHOLDER.sub(r'\1 visibility="hidden"', svg)
    svg = svg.replace('class="page-margin"', 'class="page-margin" stroke="currentColor"', 1)
    svg = svg.replace("<text ", '<text stroke="none" ')
    svg = svg.replace(
        '<svg class="definition-scale" color="black"', '<svg class="definition-scale" fill="currentColor"', 1
    )
    svg = numbers_clear_of_endings(svg)
    return MUSIC_TEXT.sub(
        lambda m: (
            f'<tspan font-size="{TEXT_SIZE}px">{PRIVATE.sub(lambda c: READABLE.get(c[0], ""), m[1])}</tspan>'
        ),
        svg,
    )


ROOT = re.compile(r"<svg\b[^>]*>")
VIEW = re.compile(r'viewBox="0 0 (?P<width>\S+) (?P<height>\S+)"')


def _stacked(pages: list[str]) -> str:
    """One drawing of all pages, one below the other; music too tall for Verovio's page comes in several."""
    if len(pages) == 1:
        return pages[0]
    bodies, width, height = [], 0.0, 0.0
    for page in pages:
        page_width, page_height = _size(page)
        body = ROOT.sub("", page, count=1).rpartition("</svg>")[0]
        frame = (
            f'width="{page_width:g}" height="{page_height:g}" viewBox="0 0 {page_width:g} {page_height:g}"'
        )
        bodies.append(f'<svg y="{height:g}" {frame}>{body}</svg>')
        width, height = max(width, page_width), height + page_height
    opening = pages[0][: pages[0].index(">") + 1]
    root = VIEW.sub(f'viewBox="0 0 {width:g} {height:g}"', opening)
    return f"{root}{''.join(bodies)}</svg>"


def _size(page: str) -> tuple[float, float]:
    """Width and height of a page in the pixels of its viewBox."""
    found = VIEW.search(page)
    assert found is not None
    return float(found["width"]), float(found["height"])
