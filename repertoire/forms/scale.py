"""What a scale sheet is to hold; the sheet itself is written by `notation.scales`."""

from typing import Any, cast

from django import forms
from django.utils.translation import gettext_lazy as _

from repertoire.forms.rare import RareFields
from repertoire.forms.temperament import settle_temperament, temperament_field
from repertoire.library import intake
from repertoire.models import Excerpt
from repertoire.notation.instruments import INSTRUMENTS
from repertoire.notation.read.reading import CanonicalScore
from repertoire.notation.score import BadScore
from repertoire.notation.write.scales import ScaleSpec, scale_sheet
from repertoire.wording.words import words

TONICS = ("C", "C♯", "D♭", "D", "D♯", "E♭", "E", "F", "F♯", "G♭", "G", "G♯", "A♭", "A", "A♯", "B♭", "B", "C♭")
KINDS = (
    ("major", _("major")),
    ("natural_minor", _("natural minor")),
    ("harmonic_minor", _("harmonic minor")),
    ("melodic_minor", _("melodic minor")),
    ("chromatic", _("chromatic, sharps up and flats down")),
    ("whole_tone", _("whole tone, sharps up and flats down")),
    ("major_arpeggio", _("major arpeggio")),
    ("minor_arpeggio", _("minor arpeggio")),
    ("dominant_seventh", _("dominant seventh, on its own root")),
    ("diminished_seventh", _("diminished seventh")),
)
PATTERN_CHOICES = (
    ("straight", _("up and down")),
    ("thirds", _("in thirds (major and minor scales)")),
    ("broken", _("broken: in fours, chords note by note")),
)
OCTAVES = (
    (1, _("one octave")),
    (2, _("two octaves")),
    (3, _("three octaves")),
    (4, _("four octaves")),
    (0, _("as many as fit the instrument")),
)
STARTS = (
    (0, _("the lowest octave that fits")),
    (1, _("one octave higher")),
    (2, _("two octaves higher")),
)
NOTE_VALUES = (
    ("half", _("half notes")),
    ("quarter", _("quarter notes")),
    ("eighth", _("eighth notes")),
    ("triplet_eighth", _("eighth note triplets")),
    ("sixteenth", _("sixteenth notes")),
)
RHYTHM_CHOICES = (
    ("even", _("even")),
    ("dotted", _("dotted: long, short")),
    ("long_short_short", _("long, short, short")),
    ("first_long", _("even, the first note twice as long")),
)
SLURS = (
    ("0", _("each note separate")),
    ("2", _("two notes under a slur")),
    ("3", _("three notes under a slur")),
    ("4", _("four notes under a slur")),
    ("8", _("eight notes under a slur")),
    ("octave", _("the notes of an octave under a slur")),
    ("two_two", _("two slurred, two separate")),
)
# The fields that make a ScaleSpec, apart from its instrument and tempo; kept with the sheet.
SPEC = ("tonic", "kind", "octaves", "raised", "pattern", "arpeggio", "note_value", "rhythm", "slur")


def read_slur(value: str) -> int | str:
    return int(value) if value.isdecimal() else value


class SheetFields(RareFields, forms.Form):
    """How scales are written; the same for one sheet and for a set."""

    rare = ("raised", "pattern", "rhythm", "beat_unit", "temperament")

    octaves = forms.TypedChoiceField(label=_("Octaves"), choices=OCTAVES, coerce=int, initial=2)
    raised = forms.TypedChoiceField(
        label=_("Beginning in"),
        choices=STARTS,
        coerce=int,
        initial=0,
        required=False,
        empty_value=cast(Any, 0),
    )
    pattern = forms.ChoiceField(
        label=_("Order of notes"), choices=PATTERN_CHOICES, initial="straight", required=False
    )
    arpeggio = forms.BooleanField(
        label=_("With the arpeggio"),
        required=False,
        initial=True,
        help_text=_("After a major or minor scale."),
    )
    note_value = forms.ChoiceField(label=_("Note values"), choices=NOTE_VALUES, initial="eighth")
    rhythm = forms.ChoiceField(label=_("Rhythm"), choices=RHYTHM_CHOICES, initial="even", required=False)
    slur = forms.TypedChoiceField(label=_("Slurs"), choices=SLURS, coerce=read_slur, initial="0")

    def clean_pattern(self) -> str:
        return self.cleaned_data["pattern"] or "straight"

    def clean_rhythm(self) -> str:
        return self.cleaned_data["rhythm"] or "even"


class ScaleForm(SheetFields, forms.ModelForm):
    tonic = forms.ChoiceField(label=_("Scale of"), choices=[(tonic, tonic) for tonic in TONICS])
    kind = forms.ChoiceField(label=_("Kind"), choices=KINDS)

    class Meta:
        model = Excerpt
        fields = ["instrument", "marked_bpm", "beat_unit", "temperament"]
        help_texts = {"marked_bpm": _("Beats a minute.")}
        widgets = {"marked_bpm": forms.NumberInput(attrs={"inputmode": "decimal"})}

    field_order = ["instrument", "tonic", "kind", *SPEC[2:], "marked_bpm"]

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.canonical: CanonicalScore | None = None
        self.fields["tonic"].help_text = _(
            "As written for the player; a transposing instrument sounds in its own key."
        )
        self.fields["temperament"] = temperament_field()

    def clean(self) -> dict:
        super().clean()
        data = self.cleaned_data
        if self.errors:
            return data
        try:
            self.canonical = scale_sheet(spec_of(data, data), title=words)
        except BadScore as error:
            self.add_error(None, words(error.sentence))
        return data

    def keep(self) -> tuple[Excerpt, bool]:
        """The kept sheet and whether it is new."""
        if self.canonical is None:
            raise LookupError("no sheet was written")
        return keep_sheet(self.canonical, self.cleaned_data, self.cleaned_data)


def spec_of(scale: dict, data: dict) -> ScaleSpec:
    """The sheet of one scale, its tonic and kind in `scale`, all else in the form's data."""
    return ScaleSpec(
        instrument=INSTRUMENTS[data["instrument"]],
        bpm=float(data["marked_bpm"]),
        beat_unit_q=float(data["beat_unit"]),
        **_spec_values(scale, data),
    )


def keep_sheet(canonical: CanonicalScore, scale: dict, data: dict) -> tuple[Excerpt, bool]:
    """The kept sheet and whether it is new."""
    return intake.keep_music(
        canonical,
        title=canonical.score.title,
        order_known=True,
        kind=Excerpt.Kind.SCALE,
        scale_spec=_spec_values(scale, data),
        instrument=data["instrument"],
        marked_bpm=data["marked_bpm"],
        beat_unit=data["beat_unit"],
        temperament=settle_temperament(data),
    )


def _spec_values(scale: dict, data: dict) -> dict:
    return {**{name: data[name] for name in SPEC[2:]}, "tonic": scale["tonic"], "kind": scale["kind"]}
