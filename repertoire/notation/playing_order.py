"""The order in which printed bars are played, as Verovio's timemap unfolds it."""

import re
import threading
from importlib.resources import files
from xml.etree.ElementTree import Element

import verovio

from . import messages
from .canonical import to_text
from .score import BadScore

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
    made.setOptions({"inputFrom": "musicxml", "xmlIdSeed": 1, **options})
    return made


def played_order(tree: Element) -> tuple[int, ...]:
    """Measure indexes of a canonical tree in the order Verovio plays them (second passes included)."""
    indexes = {measure.get("id"): index for index, measure in enumerate(tree.iter("measure"))}
    return tuple(indexes[measure_id] for measure_id in played_ids(tree))


def played_ids(tree: Element) -> list[str]:
    """Measure ids in played order; raises `BadScore` when Verovio finds no music in the score."""
    verovio_toolkit = toolkit({"breaks": "none"})
    if not verovio_toolkit.loadData(to_text(tree)):
        raise BadScore(messages.NOT_ENGRAVED)
    timemap = verovio_toolkit.renderToTimemap({"includeMeasures": True})
    ids = [RENDITION.sub("", entry["measureOn"]) for entry in timemap if "measureOn" in entry]
    known = {measure.get("id") for measure in tree.iter("measure")}
    if not ids or not known.issuperset(ids):
        raise BadScore(messages.NOT_ENGRAVED)
    return ids
