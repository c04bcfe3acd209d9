"""How the printed music is said in words: keys, metres, note values, pitches, tempos."""

from collections.abc import Collection
from fractions import Fraction
from itertools import groupby

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from repertoire.notation.pitches import spelled_at
from repertoire.notation.score import Measure, Score, TempoMark
from repertoire.notation.sentence import PitchName
from repertoire.wording.words import fill

MINOR_TONIC_FIFTHS = 3  # a minor key's tonic lies a minor third below that of its relative major
VALUE_NAMES = {
    Fraction(8): gettext_lazy("double whole note"),
    Fraction(6): gettext_lazy("dotted whole note"),
    Fraction(4): gettext_lazy("whole note"),
    Fraction(3): gettext_lazy("dotted half note"),
    Fraction(2): gettext_lazy("half note"),
    Fraction(3, 2): gettext_lazy("dotted quarter note"),
    Fraction(4, 3): gettext_lazy("half note of a triplet"),
    Fraction(1): gettext_lazy("quarter note"),
    Fraction(3, 4): gettext_lazy("dotted eighth note"),
    Fraction(2, 3): gettext_lazy("quarter note of a triplet"),
    Fraction(1, 2): gettext_lazy("eighth note"),
    Fraction(3, 8): gettext_lazy("dotted sixteenth note"),
    Fraction(1, 3): gettext_lazy("eighth note of a triplet"),
    Fraction(1, 4): gettext_lazy("sixteenth note"),
    Fraction(1, 6): gettext_lazy("sixteenth note of a triplet"),
    Fraction(1, 8): gettext_lazy("thirty-second note"),
    Fraction(1, 16): gettext_lazy("sixty-fourth note"),
}


def key_name(measure: Measure) -> str:
    """The written key ("B flat major"); where the score gives no mode, the signature alone."""
    fifths = measure.fifths
    if abs(fifths) > 7:
        return _("an unusual key signature")
    if measure.mode == "major":
        return fill(_("{tonic} major"), tonic=PitchName(*spelled_at(fifths)))
    if measure.mode == "minor":
        return fill(_("{tonic} minor"), tonic=PitchName(*spelled_at(fifths + MINOR_TONIC_FIFTHS)))
    if fifths == 0:
        return _("no sharps or flats")
    if fifths > 0:
        return ngettext("%(count)d sharp", "%(count)d sharps", fifths) % {"count": fifths}
    return ngettext("%(count)d flat", "%(count)d flats", -fifths) % {"count": -fifths}


def metre_name(measure: Measure) -> str:
    return f"{measure.beats}/{measure.beat_type}"


def changes(score: Score, name) -> str:
    """What `name` says of each bar, once per change: "4/4, from bar 9: 3/4"."""
    runs = [(value, next(bars).number) for value, bars in groupby(score.measures, key=name)]
    later = [_("from bar %(bar)s: %(what)s") % {"bar": bar, "what": value} for value, bar in runs[1:]]
    return ", ".join([runs[0][0], *later])


def tempo_changes(score: Score, asked: Collection[int] | None = None) -> list[str]:
    """Tempos printed after the beginning, in these bars: "From bar 17: dotted quarter note = 60."."""

    def place(mark: TempoMark) -> tuple[int, float]:
        return mark.measure_index, mark.start_q

    sentences = []
    for (index, start_q), marks in groupby(sorted(score.tempo_marks, key=place), key=place):
        if (index or start_q) and (asked is None or index in asked):
            sentences.append(_tempo_change(score.measures[index], start_q, list(marks)))
    return sentences


def _tempo_change(measure: Measure, start_q: float, marks: list[TempoMark]) -> str:
    tempo = next((mark for mark in marks if mark.printed_bpm), None)
    words = [text for text in dict.fromkeys(mark.text for mark in marks) if text]
    if tempo:
        words.append(f"{value_name(tempo.beat_unit_q)} = {tempo.bpm:g}")
    what = ", ".join(words)
    if start_q:
        beat = f"{start_q / measure.beat_q + 1:.3g}"
        place = _("Bar %(bar)s, beat %(beat)s: %(what)s")
        if tempo:
            place = _("From bar %(bar)s, beat %(beat)s: %(what)s")
        return sentence(place % {"bar": measure.number, "beat": beat, "what": what})
    place = _("From bar %(bar)s: %(what)s") if tempo else _("Bar %(bar)s: %(what)s")
    return sentence(place % {"bar": measure.number, "what": what})


def sentence(text: str) -> str:
    return text if text.endswith(".") else f"{text}."


def value_name(duration_q: float) -> str:
    """A note value in words; lengths no single note has are said in quarters."""
    length = Fraction(duration_q).limit_denominator(96)
    if length in VALUE_NAMES:
        return str(VALUE_NAMES[length])
    return _("%(quarters)s quarters long") % {"quarters": f"{float(length):g}"}
