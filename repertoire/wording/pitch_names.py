"""Names of pitches by the custom of the language: B flat is "B" in German, and B is "H".

Alterations are semitones, sharps above 0; octave 4 begins at middle C. Names beyond double sharps and flats
are not written in practice.
"""

from django.utils.translation import gettext as _
from django.utils.translation import pgettext_lazy

from repertoire.notation.pitches import WrittenPitch
from repertoire.notation.sentence import PitchName

NAMES = {
    ("C", -2): pgettext_lazy("note name", "C double flat"),
    ("D", -2): pgettext_lazy("note name", "D double flat"),
    ("E", -2): pgettext_lazy("note name", "E double flat"),
    ("F", -2): pgettext_lazy("note name", "F double flat"),
    ("G", -2): pgettext_lazy("note name", "G double flat"),
    ("A", -2): pgettext_lazy("note name", "A double flat"),
    ("B", -2): pgettext_lazy("note name", "B double flat"),
    ("C", -1): pgettext_lazy("note name", "C flat"),
    ("D", -1): pgettext_lazy("note name", "D flat"),
    ("E", -1): pgettext_lazy("note name", "E flat"),
    ("F", -1): pgettext_lazy("note name", "F flat"),
    ("G", -1): pgettext_lazy("note name", "G flat"),
    ("A", -1): pgettext_lazy("note name", "A flat"),
    ("B", -1): pgettext_lazy("note name", "B flat"),
    ("C", 0): pgettext_lazy("note name", "C"),
    ("D", 0): pgettext_lazy("note name", "D"),
    ("E", 0): pgettext_lazy("note name", "E"),
    ("F", 0): pgettext_lazy("note name", "F"),
    ("G", 0): pgettext_lazy("note name", "G"),
    ("A", 0): pgettext_lazy("note name", "A"),
    ("B", 0): pgettext_lazy("note name", "B"),
    ("C", 1): pgettext_lazy("note name", "C sharp"),
    ("D", 1): pgettext_lazy("note name", "D sharp"),
    ("E", 1): pgettext_lazy("note name", "E sharp"),
    ("F", 1): pgettext_lazy("note name", "F sharp"),
    ("G", 1): pgettext_lazy("note name", "G sharp"),
    ("A", 1): pgettext_lazy("note name", "A sharp"),
    ("B", 1): pgettext_lazy("note name", "B sharp"),
    ("C", 2): pgettext_lazy("note name", "C double sharp"),
    ("D", 2): pgettext_lazy("note name", "D double sharp"),
    ("E", 2): pgettext_lazy("note name", "E double sharp"),
    ("F", 2): pgettext_lazy("note name", "F double sharp"),
    ("G", 2): pgettext_lazy("note name", "G double sharp"),
    ("A", 2): pgettext_lazy("note name", "A double sharp"),
    ("B", 2): pgettext_lazy("note name", "B double sharp"),
}
SHORT_NAMES = {
    ("C", -2): pgettext_lazy("note name in signs", "C♭♭"),
    ("D", -2): pgettext_lazy("note name in signs", "D♭♭"),
    ("E", -2): pgettext_lazy("note name in signs", "E♭♭"),
    ("F", -2): pgettext_lazy("note name in signs", "F♭♭"),
    ("G", -2): pgettext_lazy("note name in signs", "G♭♭"),
    ("A", -2): pgettext_lazy("note name in signs", "A♭♭"),
    ("B", -2): pgettext_lazy("note name in signs", "B♭♭"),
    ("C", -1): pgettext_lazy("note name in signs", "C♭"),
    ("D", -1): pgettext_lazy("note name in signs", "D♭"),
    ("E", -1): pgettext_lazy("note name in signs", "E♭"),
    ("F", -1): pgettext_lazy("note name in signs", "F♭"),
    ("G", -1): pgettext_lazy("note name in signs", "G♭"),
    ("A", -1): pgettext_lazy("note name in signs", "A♭"),
    ("B", -1): pgettext_lazy("note name in signs", "B♭"),
    ("C", 0): pgettext_lazy("note name in signs", "C"),
    ("D", 0): pgettext_lazy("note name in signs", "D"),
    ("E", 0): pgettext_lazy("note name in signs", "E"),
    ("F", 0): pgettext_lazy("note name in signs", "F"),
    ("G", 0): pgettext_lazy("note name in signs", "G"),
    ("A", 0): pgettext_lazy("note name in signs", "A"),
    ("B", 0): pgettext_lazy("note name in signs", "B"),
    ("C", 1): pgettext_lazy("note name in signs", "C♯"),
    ("D", 1): pgettext_lazy("note name in signs", "D♯"),
    ("E", 1): pgettext_lazy("note name in signs", "E♯"),
    ("F", 1): pgettext_lazy("note name in signs", "F♯"),
    ("G", 1): pgettext_lazy("note name in signs", "G♯"),
    ("A", 1): pgettext_lazy("note name in signs", "A♯"),
    ("B", 1): pgettext_lazy("note name in signs", "B♯"),
    ("C", 2): pgettext_lazy("note name in signs", "C♯♯"),
    ("D", 2): pgettext_lazy("note name in signs", "D♯♯"),
    ("E", 2): pgettext_lazy("note name in signs", "E♯♯"),
    ("F", 2): pgettext_lazy("note name in signs", "F♯♯"),
    ("G", 2): pgettext_lazy("note name in signs", "G♯♯"),
    ("A", 2): pgettext_lazy("note name in signs", "A♯♯"),
    ("B", 2): pgettext_lazy("note name in signs", "B♯♯"),
}


def pitch_words(pitch: PitchName | WrittenPitch) -> str:
    """ "B flat", or with its octave "B flat 4"."""
    name = str(NAMES[pitch.letter, pitch.alter])
    if pitch.octave is None:
        return name
    return _("%(note)s %(octave)d") % {"note": name, "octave": pitch.octave}


def short_name(pitch: PitchName | WrittenPitch) -> str:
    """ "B♭4" or "B♭": for tables and places where room is short."""
    name = str(SHORT_NAMES[pitch.letter, pitch.alter])
    return name if pitch.octave is None else f"{name}{pitch.octave}"
