"""Our own MusicXML between text and tree; what comes from outside goes through `read.safety` instead."""

from xml.etree.ElementTree import Element, tostring

from defusedxml.ElementTree import fromstring


def parse_trusted(text: str) -> Element:
    """Parse stored canonical MusicXML (still through defusedxml: it is the only parser here).

    Raises `ParseError` for a text that is no XML, which a stored score never is.
    """
    root: Element = fromstring(text.encode(), forbid_dtd=False)
    return root


def to_text(tree: Element) -> str:
    """The tree as a MusicXML document, with its XML declaration."""
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + tostring(tree, encoding="unicode")
