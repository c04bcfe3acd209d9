"""Fingerings written into a copy of the score, where the engraver finds a place for them.

`<technical>` and `<fingering>` of MusicXML 4.0. Raises nothing; a note that is not there is passed over.
"""

from collections.abc import Mapping
from xml.etree.ElementTree import Element, SubElement

# What stands before <notations> in a MusicXML 4.0 <note>; everything else comes after it.
AFTER_NOTATIONS = ("lyric", "play", "listen")


def write_fingerings(tree: Element, fingerings: Mapping[str, str]) -> None:
    """Give the notes named by id these fingerings in place of printed ones; an empty one takes it away."""
    for note in tree.iter("note"):
        wanted = fingerings.get(note.get("id", ""))
        if wanted is None:
            continue
        for technical in note.findall("notations/technical"):
            for printed in technical.findall("fingering"):
                technical.remove(printed)
        if wanted.strip():
            technical = _technical_of(note)
            SubElement(technical, "fingering").text = wanted.strip()


def _technical_of(note: Element) -> Element:
    notations = note.find("notations")
    if notations is None:
        notations = Element("notations")
        place = next((k for k, child in enumerate(note) if child.tag in AFTER_NOTATIONS), len(note))
        note.insert(place, notations)
    technical = notations.find("technical")
    return SubElement(notations, "technical") if technical is None else technical
