from django import forms
from django.utils.translation import gettext_lazy as _

from repertoire.models import Fingering
from repertoire.notation.positions.hand import THUMB
from repertoire.notation.positions.names import finger_name, note_name, position_name, string_name
from repertoire.wording.words import words


class FingeringOptionsForm(forms.ModelForm):
    class Meta:
        model = Fingering
        fields = ["open_strings", "highest", "tuning"]

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        usual = self.instance._meta.model(excerpt=self.instance.excerpt).board
        named = [(place, words(position_name(usual, place))) for place in usual.positions]
        self.fields["highest"] = forms.TypedChoiceField(
            label=_("Highest position"),
            choices=[("", _("the whole fingerboard")), *named],
            coerce=int,
            empty_value=None,
            required=False,
        )


class LocksForm(forms.Form):
    """A finger and a string for every note of one printed bar; what is left free is planned."""

    def __init__(self, data, *, fingering: Fingering, bar: str) -> None:
        super().__init__(data, prefix="lock")
        self.fingering = fingering
        self.planned: dict[str, str] = {}
        self.notes = [
            note
            for note in fingering.excerpt.score.notes
            if fingering.excerpt.score.measures[note.measure_index].number == bar
        ]
        fingers = [("", _("free")), *((k, finger_name(k)) for k in (0, 1, 2, 3, 4, THUMB))]
        strings = [("", _("free")), *((k, string_name(k)) for k in range(len(fingering.board.strings)))]
        for place, note in enumerate(self.notes, 1):
            finger, string = fingering.locks.get(note.note_id, (None, None))
            named = {"place": place, "note": words(note_name(note))}
            self._choice(
                f"{note.note_id}-finger", _("Finger for note %(place)s, %(note)s") % named, fingers, finger
            )
            self._choice(
                f"{note.note_id}-string", _("String for note %(place)s, %(note)s") % named, strings, string
            )

    def _choice(self, name: str, label: str, choices: list, initial: int | None) -> None:
        self.fields[name] = forms.TypedChoiceField(
            label=label, choices=choices, coerce=int, empty_value=None, required=False, initial=initial
        )

    @property
    def rows(self) -> list[dict]:
        """What the page shows of each note; `planned` is put in by the page, which has the plan."""
        return [
            {
                "place": place,
                "name": words(note_name(note)),
                "planned": self.planned.get(note.note_id, ""),
                "finger": self[f"{note.note_id}-finger"],
                "string": self[f"{note.note_id}-string"],
            }
            for place, note in enumerate(self.notes, 1)
        ]

    def save(self) -> None:
        for note in self.notes:
            finger = self.cleaned_data[f"{note.note_id}-finger"]
            string = self.cleaned_data[f"{note.note_id}-string"]
            self.fingering.lock(note.note_id, finger=finger, string=string)
        self.fingering.save()
