"""Adding printed music: the file, what it is called, and how it is to be played."""

import hashlib
from decimal import Decimal

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repertoire.forms.rare import RareFields
from repertoire.forms.score_file import ScoreFileMixin
from repertoire.forms.temperament import settle_temperament, temperament_field
from repertoire.library import intake
from repertoire.library.fit import range_questions, transposition_question
from repertoire.library.transposition import as_transposed
from repertoire.models import Excerpt
from repertoire.notation.instruments import INSTRUMENTS
from repertoire.notation.numerals import plain_number
from repertoire.notation.write.scales import ScaleSpec, scale_sheet

AS_FILE, AS_PART = "file", "part"


class ExcerptEditForm(forms.ModelForm):
    """What may still be changed of kept music; the notes themselves may not: takes were measured by them."""

    class Meta:
        model = Excerpt
        fields = ["title", "composer", "source", "marked_bpm", "beat_unit", "temperament"]
        help_texts = {
            "source": gettext_lazy("The book or list it stands in, with its page or number."),
            "marked_bpm": gettext_lazy("Beats a minute."),
            "temperament": gettext_lazy("What intonation is measured against."),
        }
        widgets = {"marked_bpm": forms.NumberInput(attrs={"inputmode": "decimal"})}

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.initial["marked_bpm"] = Decimal(plain_number(self.instance.marked_bpm))
        if self.instance.is_in_use:
            # The tempos set for auditions count in this unit.
            self.fields["beat_unit"].disabled = True
            self.fields["beat_unit"].help_text = _("Stays as it is, since the music is set for an audition.")

    def clean_title(self) -> str:
        title = self.cleaned_data["title"]
        same = Excerpt.objects.filter(
            title=title, instrument=self.instance.instrument, content_hash=self.instance.content_hash
        )
        if same.exclude(pk=self.instance.pk).exists():
            raise forms.ValidationError(_("This music is in the library under this title already."))
        return title

    def clean(self) -> dict:
        super().clean()
        data = self.cleaned_data
        if (
            self.instance.scale_spec
            and not self.errors
            and {"marked_bpm", "beat_unit"} & set(self.changed_data)
        ):
            self._print_tempo(data)
        return data

    def is_free(self, musicxml: str) -> bool:
        """Whether the library has no other music of this title with this very text; says so if it has."""
        same = Excerpt.objects.filter(
            title=self.cleaned_data["title"],
            instrument=self.instance.instrument,
            content_hash=Excerpt.hash_of(musicxml),
        )
        if same.exclude(pk=self.instance.pk).exists():
            self.add_error("title", _("This music is in the library under this title already."))
        return not self.errors

    def _print_tempo(self, data: dict) -> None:
        """A scale sheet is written again with its new tempo; its notes and their ids stay the same."""
        spec = ScaleSpec(
            instrument=self.instance.instrument_facts,
            bpm=float(data["marked_bpm"]),
            beat_unit_q=float(data["beat_unit"]),
            **self.instance.scale_spec,
        )
        self.instance.musicxml = scale_sheet(spec, title=lambda _title: self.instance.score.title).musicxml
        self.instance.content_hash = Excerpt.hash_of(self.instance.musicxml)
        same = Excerpt.objects.filter(
            title=data["title"],
            instrument=self.instance.instrument,
            content_hash=self.instance.content_hash,
        )
        if same.exclude(pk=self.instance.pk).exists():
            self.add_error("marked_bpm", _("The library has this scale sheet in this tempo already."))


class ExcerptForm(RareFields, ScoreFileMixin, forms.ModelForm):
    """Fields left empty are filled from the score; a score once read well stays with the form."""

    rare = ("source", "beat_unit", "temperament")

    # The page draws these two itself, and only where there is something to ask.
    fits = forms.CharField(required=False, widget=forms.HiddenInput)
    sounds = forms.CharField(required=False, widget=forms.HiddenInput)

    class Meta:
        model = Excerpt
        fields = ["title", "composer", "source", "instrument", "marked_bpm", "beat_unit", "temperament"]
        help_texts = {
            "title": gettext_lazy("Left empty, it is taken from the score."),
            "composer": gettext_lazy("Left empty, it is taken from the score."),
            "source": gettext_lazy("The book or list it stands in, with its page or number."),
            "marked_bpm": gettext_lazy("Beats a minute. Left empty, it is taken from the score."),
        }
        widgets = {"marked_bpm": forms.NumberInput(attrs={"inputmode": "decimal"})}

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.questions: list[str] = []
        self.sounding = ""
        self.fields["title"].required = False
        self.fields["marked_bpm"].required = False
        self.fields["temperament"] = temperament_field()
        self.fields["beat_unit"] = forms.ChoiceField(
            label=gettext_lazy("Beat unit"),
            required=False,
            choices=[("", gettext_lazy("as in the score")), *Excerpt.BeatUnit.choices],
        )

    @property
    def questions_seal(self) -> str:
        """An answer holds for the questions it was given to, not for later ones."""
        return hashlib.sha256("\n".join(self.questions).encode()).hexdigest()[:16]

    def clean(self) -> dict:
        super().clean()
        data = self.cleaned_data
        if "file" in self.errors:
            return data
        self.read_score(data)
        if self.canonical is None:
            return data
        self._fill_from_score(data)
        self._ask_whether_it_fits(data)
        return data

    def _fill_from_score(self, data: dict) -> None:
        score = self.music.score
        data["title"] = data.get("title") or score.title[:160]
        data["composer"] = data.get("composer") or score.composer[:120]
        if not data["title"]:
            self.add_error("title", _("The score has no title; please give it one."))
        unit = data.get("beat_unit", "")
        if "marked_bpm" not in self.errors and data.get("marked_bpm") is None:
            marked = intake.tempo_in_score(score, unit)
            if marked is None:
                sentence = _("The score gives no tempo in beats a minute; please write it here.")
                self.add_error("marked_bpm", sentence)
            else:
                data["marked_bpm"] = marked.bpm
        data["beat_unit"] = unit or intake.beat_unit_in_score(score)
        if "instrument" in data:
            data["temperament"] = settle_temperament(data)

    def _ask_whether_it_fits(self, data: dict) -> None:
        instrument = INSTRUMENTS.get(data.get("instrument", ""))
        if instrument is None:
            return
        self.sounding = transposition_question(self.music.score, instrument)
        if self.sounding:
            if data.get("sounds") not in (AS_FILE, AS_PART):
                self.add_error("sounds", _("Please say how the part sounds."))
                return
            if data["sounds"] == AS_PART:
                self.canonical = as_transposed(self.music, instrument.transposition)
        self.questions = range_questions(self.music.score, instrument)
        if self.questions and data.get("fits") != self.questions_seal:
            sentence = _("Please choose another instrument or file, or say that the score is right.")
            self.add_error("fits", sentence)

    def keep(self) -> tuple[Excerpt, bool]:
        """The kept excerpt and whether it is new."""
        return intake.keep_music(self.music, **{name: self.cleaned_data[name] for name in self.Meta.fields})
