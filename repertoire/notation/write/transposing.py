"""The `<transpose>` of MusicXML: how far a written note lies from what sounds."""

from xml.etree.ElementTree import Element, SubElement

# Written steps of a chromatic transposition: the usual spelling of each interval up to a major seventh.
DIATONIC_STEPS = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)


def transpose_element(semitones: int) -> Element:
    """Sounding minus written, in semitones; whole octaves are written apart, as MusicXML 4.0 has it."""
    octaves = int(semitones / 12)  # towards zero: a bass is an octave, an alto saxophone none
    chromatic = semitones - 12 * octaves
    steps = DIATONIC_STEPS[abs(chromatic)]
    transpose = Element("transpose")
    SubElement(transpose, "diatonic").text = str(steps if chromatic > 0 else -steps)
    SubElement(transpose, "chromatic").text = str(chromatic)
    if octaves:
        SubElement(transpose, "octave-change").text = str(octaves)
    return transpose
