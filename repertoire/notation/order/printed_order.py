"""The order in which printed bars are played, and whether Verovio reads the whole score as it is.

Orders are measure indexes, from 0. A score that Verovio does not read whole raises `BadScore`.
"""

import copy
import re
import threading
from importlib.resources import files
from xml.etree.ElementTree import Element

import verovio

from repertoire.notation import messages
from repertoire.notation.order.navigation import skeleton, without_repeats
from repertoire.notation.order.unfolding import unfold
from repertoire.notation.score import BadScore
from repertoire.notation.xml import to_text

FONTS = str(files("verovio") / "data")
RENDITION = re.compile(r"-rend\d+$")
_verovio_lock = threading.Lock()  # the toolkit's log level is global to the process


def toolkit(options: dict[str, object]) -> "verovio.toolkit":
    """A Verovio toolkit that reads MusicXML, makes the same ids every time, and keeps quiet."""
    with _verovio_lock:
        verovio.enableLog(verovio.LOG_OFF)
        # Verovio keeps its fonts' path per thread and sets it only where it is imported.
        verovio.setDefaultResourcePath(FONTS)
        made = verovio.toolkit()
    made.setOptions({"inputFrom": "musicxml", "xmlIdSeed": 1, "expandNever": True, **options})
    return made


def drawn_text(tree: Element) -> str:
    """The score for Verovio, which falls over `after-jump` beside a fine even where it only draws."""
    tree = copy.deepcopy(tree)
    for repeat in tree.iter("repeat"):
        repeat.attrib.pop("after-jump", None)
    return to_text(tree)


def printed_order(tree: Element) -> tuple[int, ...]:
    """Measure indexes of a canonical tree in the order of play (second passes included)."""
    return unfold(tree.findall("part/measure"))


def order_without_repeats(tree: Element) -> tuple[int, ...]:
    """The same with every repeat left out: last endings only, jumps kept."""
    left = without_repeats(skeleton(tree)).findall("part/measure")
    indexes = {measure.get("id"): index for index, measure in enumerate(tree.iter("measure"))}
    return tuple(indexes[left[place].get("id")] for place in unfold(left))


def verovio_order(tree: Element) -> tuple[int, ...]:
    """The same as Verovio's timemap unfolds it: a second reading, wrong for nested repeats and some jumps."""
    return _indexes(tree, _played_ids(skeleton(tree)))


def check_engraves(tree: Element) -> None:
    """Raise `BadScore` unless Verovio reads every bar of the score, as printed."""
    if _indexes(tree, _played_ids(tree, unfolded=False)) != tuple(range(len(tree.findall("part/measure")))):
        raise BadScore(messages.NOT_ENGRAVED())


def _indexes(tree: Element, played: list[str]) -> tuple[int, ...]:
    indexes = {measure.get("id"): index for index, measure in enumerate(tree.iter("measure"))}
    if not played or not indexes.keys() >= set(played):
        raise BadScore(messages.NOT_ENGRAVED())
    return tuple(indexes[measure_id] for measure_id in played)


def _played_ids(tree: Element, *, unfolded: bool = True) -> list[str]:
    verovio_toolkit = toolkit({"breaks": "none", "expandNever": not unfolded})
    if not verovio_toolkit.loadData(drawn_text(tree)):
        raise BadScore(messages.NOT_ENGRAVED())
    timemap = verovio_toolkit.renderToTimemap({"includeMeasures": True})
    return [RENDITION.sub("", entry["measureOn"]) for entry in timemap if "measureOn" in entry]
