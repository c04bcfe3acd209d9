"""A score whose file forgot to say that its instrument transposes, read as that instrument's part."""

from xml.etree.ElementTree import Element, SubElement

from repertoire.notation.read.canonical import to_text
from repertoire.notation.read.reading import CanonicalScore
from repertoire.notation.read.safety import parse_trusted
from repertoire.notation.read.tree_to_score import score_of

# Written steps of a chromatic transposition: the usual spelling of each interval up to a major seventh.
DIATONIC_STEPS = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
# MusicXML's schema wants these after <transpose>.
AFTER_TRANSPOSE = {"for-part", "directive", "measure-style"}


def as_transposed(canonical: CanonicalScore, semitones: int) -> CanonicalScore:
    """The same written notes, sounding `semitones` from where they are written throughout."""
    root = parse_trusted(canonical.musicxml)
    for attributes in root.iter("attributes"):
        for transpose in attributes.findall("transpose"):
            attributes.remove(transpose)
    if semitones:
        _say_transposition(next(root.iter("attributes")), semitones)
    return CanonicalScore(musicxml=to_text(root), score=score_of(root))


def _say_transposition(attributes: Element, semitones: int) -> None:
    octaves = int(semitones / 12)  # towards zero
    chromatic = semitones - 12 * octaves
    steps = DIATONIC_STEPS[abs(chromatic)]
    transpose = Element("transpose")
    SubElement(transpose, "diatonic").text = str(steps if chromatic > 0 else -steps)
    SubElement(transpose, "chromatic").text = str(chromatic)
    if octaves:
        SubElement(transpose, "octave-change").text = str(octaves)
    place = next((k for k, child in enumerate(attributes) if child.tag in AFTER_TRANSPOSE), len(attributes))
    attributes.insert(place, transpose)
