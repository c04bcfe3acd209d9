"""A score whose file forgot to say that its instrument transposes, read as that instrument's part."""

from xml.etree.ElementTree import Element

from repertoire.notation.read.reading import CanonicalScore
from repertoire.notation.read.tree_to_score import score_of
from repertoire.notation.write.transposing import transpose_element
from repertoire.notation.xml import parse_trusted, to_text

# MusicXML's schema wants these after <transpose>.
AFTER_TRANSPOSE = {"for-part", "directive", "measure-style"}


def as_transposed(canonical: CanonicalScore, semitones: int) -> CanonicalScore:
    """The same written notes, sounding `semitones` from where they are written throughout."""
    root = parse_trusted(canonical.musicxml)
    for attributes in root.iter("attributes"):
        for transpose in attributes.findall("transpose"):
            attributes.remove(transpose)
    if semitones:
        _add_transposition(next(root.iter("attributes")), semitones)
    return CanonicalScore(musicxml=to_text(root), score=score_of(root))


def _add_transposition(attributes: Element, semitones: int) -> None:
    place = next((k for k, child in enumerate(attributes) if child.tag in AFTER_TRANSPOSE), len(attributes))
    attributes.insert(place, transpose_element(semitones))
