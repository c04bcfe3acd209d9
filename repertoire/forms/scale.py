"""What a scale sheet is to hold; the sheet itself is written by `notation.scales`."""

from django import forms
from django.utils.translation import gettext_lazy as _

from repertoire import intake
from repertoire.models import Excerpt
from repertoire.notation.instruments import INSTRUMENTS
from repertoire.notation.reading import CanonicalScore
from repertoire.notation.scales import ScaleSpec, scale_sheet
from repertoire.notation.score import BadScore

TONICS = ("C", "C♯", "D♭", "D", "D♯", "E♭", "E", "F", "F♯", "G♭", "G", "G♯", "A♭", "A", "A♯", "B♭", "B", "C♭")
KINDS = (
    ("major", _("major")),
    ("natural_minor", _("natural minor")),
    ("harmonic_minor", _("harmonic minor")),
    ("melodic_minor", _("melodic minor")),
)
OCTAVES = ((1, _("one octave")), (2, _("two octaves")), (3, _("three octaves")))
NOTE_VALUES = (
    ("half", _("half notes")),
    ("quarter", _("quarter notes")),
    ("eighth", _("eighth notes")),
    ("sixteenth", _("sixteenth notes")),
)
SLURS = (
    (0, _("each note separate")),
    (2, _("two notes under a slur")),
    (3, _("three notes under a slur")),
    (4, _("four notes under a slur")),
    (8, _("eight notes under a slur")),
)
# The fields that make a ScaleSpec, apart from its instrument and tempo; kept with the sheet.
SPEC = ("tonic", "kind", "octaves", "arpeggio", "note_value", "slur")


class ScaleForm(forms.ModelForm):
    tonic = forms.ChoiceField(label=_("Scale of"), choices=[(tonic, tonic) for tonic in TONICS])
    kind = forms.ChoiceField(label=_("Kind"), choices=KINDS)
    octaves = forms.TypedChoiceField(label=_("Octaves"), choices=OCTAVES, coerce=int, initial=2)
    arpeggio = forms.BooleanField(label=_("With the arpeggio"), required=False, initial=True)
    note_value = forms.ChoiceField(label=_("Note values"), choices=NOTE_VALUES, initial="eighth")
    slur = forms.TypedChoiceField(label=_("Slurs"), choices=SLURS, coerce=int, initial=0)

    class Meta:
        model = Excerpt
        fields = ["instrument", "marked_bpm", "beat_unit", "temperament"]
        help_texts = {
            "marked_bpm": _("Beats a minute."),
            "temperament": _("What intonation is measured against."),
        }
        widgets = {"marked_bpm": forms.NumberInput(attrs={"inputmode": "decimal"})}

    field_order = ["instrument", "tonic", "kind", "octaves", "arpeggio", "note_value", "slur", "marked_bpm"]

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.canonical: CanonicalScore | None = None
        self.fields["tonic"].help_text = _(
            "As written for the player; a transposing instrument sounds in its own key."
        )

    def clean(self) -> dict:
        data = super().clean()
        if self.errors:
            return data
        spec = ScaleSpec(
            instrument=INSTRUMENTS[data["instrument"]],
            bpm=float(data["marked_bpm"]),
            beat_unit_q=float(data["beat_unit"]),
            **{name: data[name] for name in SPEC},
        )
        try:
            self.canonical = scale_sheet(spec)
        except BadScore as error:
            self.add_error(None, str(error))
        return data

    def keep(self) -> tuple[Excerpt, bool]:
        """The kept sheet and whether it is new."""
        return intake.keep_music(
            self.canonical,
            title=self.canonical.score.title,
            order_known=True,
            kind=Excerpt.Kind.SCALE,
            scale_spec={name: self.cleaned_data[name] for name in SPEC},
            **{name: self.cleaned_data[name] for name in self.Meta.fields},
        )
