"""Changes of tempo the print lacks, line by line: from which bar, and a tempo or a word."""

import re
from typing import Any, cast

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repertoire.models import Excerpt
from repertoire.notation.read.marks import TEMPO_WORDS
from repertoire.notation.score import BadScore
from repertoire.notation.write.tempo_changes import TempoChange, write_tempos, written_tempos
from repertoire.wording.words import words

SPARE_LINES, MOST_LINES = 2, 24
SLOWEST_BPM, FASTEST_BPM = 10, 400
NUMBER = re.compile(r"\d{1,4}(?:[.,]\d{1,2})?")


class TempoChangeForm(forms.Form):
    bar = forms.CharField(label=gettext_lazy("From bar"), max_length=10, required=False)
    tempo = forms.CharField(
        label=gettext_lazy("Tempo or word"),
        max_length=40,
        required=False,
        help_text=gettext_lazy("60, rit., a tempo"),
    )
    beat_unit = forms.ChoiceField(label=gettext_lazy("Beat unit"), choices=Excerpt.BeatUnit.choices)

    change: TempoChange | None = None

    def clean_tempo(self) -> str:
        tempo = " ".join(self.cleaned_data["tempo"].split())
        number = _number(tempo)
        if number is not None and not SLOWEST_BPM <= number <= FASTEST_BPM:
            limits = {"slowest": SLOWEST_BPM, "fastest": FASTEST_BPM}
            raise forms.ValidationError(
                _("A tempo lies between %(slowest)d and %(fastest)d beats a minute.") % limits
            )
        if tempo and number is None and not TEMPO_WORDS.search(tempo):
            raise forms.ValidationError(
                _("“%(tempo)s” is no tempo: please write beats a minute, or words like rit. or a tempo.")
                % {"tempo": tempo}
            )
        return tempo

    def clean(self) -> dict:
        super().clean()
        data = self.cleaned_data
        bar, tempo = data.get("bar", ""), data.get("tempo", "")
        if tempo and not bar and "bar" not in self.errors:
            self.add_error("bar", _("Please say from which bar."))
        if bar and not tempo and "tempo" not in self.errors:
            self.add_error("tempo", _("Please write the tempo or the word, or empty the line."))
        if bar and tempo and not self.errors:
            self.change = _as_change(bar, tempo, data)
        return data


class TempoLines(forms.BaseFormSet):
    """All lines of one piece of music; a line left or made empty is no change."""

    def __init__(self, data=None, *, excerpt: Excerpt, **kwargs) -> None:
        self.excerpt = excerpt
        self.kept = written_tempos(excerpt.musicxml)
        initial = [_as_typed(change, excerpt) for change in self.kept]
        super().__init__(data, prefix="tempos", initial=initial, **kwargs)

    def get_form_kwargs(self, index: int | None) -> dict:
        spare = index is None or index >= len(self.kept)
        unit = {"initial": {"beat_unit": self.excerpt.beat_unit}} if spare else {}
        return {**super().get_form_kwargs(index), **unit}

    @property
    def changes(self) -> list[TempoChange]:
        return [line.change for line in self.forms if line.change is not None]

    def clean(self) -> None:
        """Each line is tried on the music, so that what it lacks is said beside the line."""
        tried: list[TempoChange] = []
        for line in self.forms:
            if line.change is None:
                continue
            try:
                write_tempos(self.excerpt.musicxml, [*tried, line.change])
                tried.append(line.change)
            except BadScore as error:
                line.add_error("bar", words(error.sentence))


TempoFormSet = forms.formset_factory(
    TempoChangeForm, formset=TempoLines, extra=SPARE_LINES, max_num=MOST_LINES, validate_max=True
)


def tempo_lines(data: Any, excerpt: Excerpt) -> TempoLines:
    """The lines of this music, as kept or as typed."""
    return cast(TempoLines, cast(Any, TempoFormSet)(data, excerpt=excerpt))


def _number(tempo: str) -> float | None:
    return float(tempo.replace(",", ".")) if NUMBER.fullmatch(tempo) else None


def _as_change(bar: str, tempo: str, data: dict) -> TempoChange:
    number = _number(tempo)
    if number is None:
        return TempoChange(bar, word=tempo)
    return TempoChange(bar, bpm=number, beat_unit_q=float(data["beat_unit"]))


def _as_typed(change: TempoChange, excerpt: Excerpt) -> dict:
    tempo = f"{change.bpm:g}" if change.bpm else change.word
    unit = str(change.beat_unit_q) if change.bpm else excerpt.beat_unit
    return {"bar": change.bar, "tempo": tempo, "beat_unit": unit}
