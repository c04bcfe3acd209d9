"""Engraving: one tall SVG of continuous systems, with the canonical ids on every bar and note.

The same score and width give the same SVG, byte for byte. The SVG carries no `<style>` and no fonts, so it
can stand in a page with a strict content policy; it draws in the current text colour of the page.
"""

import re
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from defusedxml.ElementTree import fromstring

from . import messages
from .canonical import to_text
from .forms import printed_range
from .playing_order import toolkit
from .reading import load_canonical
from .safety import parse_trusted
from .score import BadScore

SVG = "{http://www.w3.org/2000/svg}"
XLINK_HREF = "{http://www.w3.org/1999/xlink}href"
INNER_UNITS_PER_PX = 10  # Verovio's inner drawing counts tenths of a pixel at scale 100
STAFF_SPACE = 180  # in inner units
NOTEHEAD_WIDTH = 212  # a black notehead of the default font, 1.18 staff spaces
RIBBON_ROOM_UNITS = 34  # half staff spaces below each system: three ribbons of about a staff's height
PLAIN_ROOM_UNITS = 8
MARGIN_PX = 50
TALLEST_PX = 60_000  # Verovio's greatest page height


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in the SVG's own pixels (its viewBox)."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class System:
    """One line of music: its bars, and the staff's top and bottom lines in viewBox pixels."""

    measure_ids: tuple[str, ...]
    top: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Engraving:
    """The drawing and where things are in it; boxes of bars span the staff, boxes of notes the notehead."""

    svg: str
    width: float
    height: float
    measure_boxes: dict[str, Box]
    note_boxes: dict[str, Box]
    systems: tuple[System, ...]
    pages: int


def engrave(
    musicxml: str,
    *,
    width_px: int,
    bars: tuple[str, str] | None = None,
    scale: int = 40,
    ribbon_room: bool = True,
) -> Engraving:
    """Engrave a canonical MusicXML, or its printed bars (from, to), `width_px` wide.

    `scale` is the size of the music in percent (40: a staff of 29 px); `ribbon_room` leaves room for ribbons
    below every staff. Raises `BadScore` for bars that are not there.
    """
    tree = parse_trusted(musicxml)
    _drop_part_name(tree)
    verovio_toolkit = toolkit(_options(width_px, scale, ribbon_room))
    if not verovio_toolkit.loadData(to_text(tree)):
        raise BadScore(messages.NOT_ENGRAVED)
    if bars is not None:
        low, high = printed_range(load_canonical(musicxml), *bars)
        ids = [measure.get("id", "") for measure in tree.iter("measure")]
        verovio_toolkit.select({"start": ids[low], "end": ids[high]})
        verovio_toolkit.redoLayout()
    pages = verovio_toolkit.getPageCount()
    svg = _plain_style(verovio_toolkit.renderToSVG(1))
    return _measured(svg, pages)


def _options(width_px: int, scale: int, ribbon_room: bool) -> dict[str, object]:
    room = RIBBON_ROOM_UNITS if ribbon_room else PLAIN_ROOM_UNITS
    return {
        "breaks": "auto",
        "pageWidth": width_px * 100 // scale,
        "pageHeight": TALLEST_PX,
        "adjustPageHeight": True,
        "scale": scale,
        "header": "none",
        "footer": "none",
        "mnumInterval": 1,
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
    return MUSIC_TEXT.sub(
        lambda m: (
            f'<tspan font-size="{TEXT_SIZE}px">{PRIVATE.sub(lambda c: READABLE.get(c[0], ""), m[1])}</tspan>'
        ),
        svg,
    )


NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")


def _measured(svg: str, pages: int) -> Engraving:
    """Read where bars and noteheads stand from the drawing itself."""
    root = fromstring(svg)
    width, height = (float(value) for value in (root.get("viewBox") or "0 0 0 0").split()[2:])
    inner = root.find(f"{SVG}svg")
    assert inner is not None
    inner_width = float((inner.get("viewBox") or "0 0 1 1").split()[2])
    ratio = width / inner_width
    margin = inner.find(f"{SVG}g")
    assert margin is not None
    left, top = (float(value) for value in NUMBERS.findall(margin.get("transform", "0 0"))[:2])
    measure_boxes: dict[str, Box] = {}
    note_boxes: dict[str, Box] = {}
    systems: list[System] = []
    for system in _classed(margin, "system"):
        ids = []
        for measure in _classed(system, "measure"):
            measure_id = measure.get("id", "")
            measure_boxes[measure_id] = _staff_box(measure, left, top, ratio)
            ids.append(measure_id)
            for note in _classed(measure, "note"):
                _add_note(note_boxes, note, left, top, ratio)
        boxes = [measure_boxes[measure_id] for measure_id in ids]
        if boxes:
            bottom = max(box.y + box.height for box in boxes)
            systems.append(System(tuple(ids), min(box.y for box in boxes), bottom))
    return Engraving(svg, width, height, measure_boxes, note_boxes, tuple(systems), pages)


def _classed(element: Element, name: str) -> list[Element]:
    return [group for group in element.iter(f"{SVG}g") if (group.get("class") or "").split()[:1] == [name]]


def _staff_box(measure: Element, left: float, top: float, ratio: float) -> Box:
    """From the first staff's top line to the last staff's bottom line."""
    lines = [
        [float(number) for number in NUMBERS.findall(path.get("d", ""))]
        for staff in _classed(measure, "staff")
        for path in staff.findall(f"{SVG}path")
    ]
    xs = [x for line in lines for x in line[0::2]]
    ys = [y for line in lines for y in line[1::2]]
    return Box(
        x=(min(xs) + left) * ratio,
        y=(min(ys) + top) * ratio,
        width=(max(xs) - min(xs)) * ratio,
        height=(max(ys) - min(ys)) * ratio,
    )


def _add_note(boxes: dict[str, Box], note: Element, left: float, top: float, ratio: float) -> None:
    for head in _classed(note, "notehead"):
        use = head.find(f"{SVG}use")
        if use is None:
            continue
        x, y, *scale = (float(number) for number in NUMBERS.findall(use.get("transform", "")))
        size = (scale[0] / 0.72 if scale else 1.0) * ratio
        boxes[note.get("id", "")] = Box(
            x=(x + left) * ratio,
            y=(y + top) * ratio - STAFF_SPACE / 2 * size,
            width=NOTEHEAD_WIDTH * size,
            height=STAFF_SPACE * size,
        )
