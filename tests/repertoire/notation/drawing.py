"""Where bars and noteheads stand in a drawing, read back from its SVG for the tests."""

import re
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from defusedxml.ElementTree import fromstring

SVG = "{http://www.w3.org/2000/svg}"
NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")
STAFF_SPACE = 180  # in inner units
FULL_SIZE = 0.72  # Verovio's scale of a full-sized glyph; grace notes are smaller
NOTEHEAD_WIDTH = 212  # a black notehead of the default font, 1.18 staff spaces


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
class Drawing:
    svg: str
    width: float
    height: float
    measure_boxes: dict[str, Box]
    note_boxes: dict[str, Box]
    systems: tuple[System, ...]


@dataclass(frozen=True, slots=True)
class Place:
    """From Verovio's inner units to viewBox pixels."""

    left: float
    top: float
    ratio: float


def measured(svg: str) -> Drawing:
    """Boxes of bars span the staff, boxes of notes the notehead."""
    root: Element = fromstring(svg)
    width, height = _view(root)
    drawing = Drawing(svg, width, height, {}, {}, ())
    stacked = [child for child in root.findall(f"{SVG}svg") if child.get("y")]
    systems: list[System] = []
    for page in stacked or [root]:
        systems += _add_page(drawing, page, from_top=float(page.get("y", "0") if stacked else 0))
    return Drawing(svg, width, height, drawing.measure_boxes, drawing.note_boxes, tuple(systems))


def _add_page(drawing: Drawing, page: Element, *, from_top: float) -> list[System]:
    inner = page.findall(f"{SVG}svg")[0]
    margin = inner.findall(f"{SVG}g")[0]
    ratio = _view(page)[0] / _view(inner)[0]
    left, top = (float(value) for value in NUMBERS.findall(margin.get("transform", ""))[:2])
    place = Place(left, top + from_top / ratio, ratio)
    systems = []
    for system in _classed(margin, "system"):
        boxes = {m.get("id", ""): _staff_box(m, place) for m in _classed(system, "measure")}
        drawing.measure_boxes.update(boxes)
        for note in _classed(system, "note"):
            _add_note(drawing.note_boxes, note, place)
        if boxes:
            bottom = max(box.y + box.height for box in boxes.values())
            systems.append(System(tuple(boxes), min(box.y for box in boxes.values()), bottom))
    return systems


def _view(svg: Element) -> tuple[float, float]:
    _, _, width, height = svg.get("viewBox", "").split()
    return float(width), float(height)


def _classed(element: Element, name: str) -> list[Element]:
    return [group for group in element.iter(f"{SVG}g") if (group.get("class") or "").split()[:1] == [name]]


def _staff_box(measure: Element, place: Place) -> Box:
    """From the first staff's top line to the last staff's bottom line."""
    lines = [
        [float(number) for number in NUMBERS.findall(path.get("d", ""))]
        for staff in _classed(measure, "staff")
        for path in staff.findall(f"{SVG}path")
    ]
    xs = [x for line in lines for x in line[0::2]]
    ys = [y for line in lines for y in line[1::2]]
    return Box(
        x=(min(xs) + place.left) * place.ratio,
        y=(min(ys) + place.top) * place.ratio,
        width=(max(xs) - min(xs)) * place.ratio,
        height=(max(ys) - min(ys)) * place.ratio,
    )


def _add_note(boxes: dict[str, Box], note: Element, place: Place) -> None:
    for head in _classed(note, "notehead"):
        use = head.find(f"{SVG}use")
        if use is None:
            continue
        x, y, *scale = (float(number) for number in NUMBERS.findall(use.get("transform", "")))
        size = (scale[0] / FULL_SIZE if scale else 1.0) * place.ratio
        boxes[note.get("id", "")] = Box(
            x=(x + place.left) * place.ratio,
            y=(y + place.top) * place.ratio - STAFF_SPACE / 2 * size,
            width=NOTEHEAD_WIDTH * size,
            height=STAFF_SPACE * size,
        )
