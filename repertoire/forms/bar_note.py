from django import forms
from django.utils.translation import gettext_lazy as _

from repertoire.models import BarNote


class BarNoteForm(forms.ModelForm):
    """Bars are typed as they are printed; a bar that is not there is told beside its field."""

    class Meta:
        model = BarNote
        fields = ["kind", "from_bar", "to_bar", "note_id", "text"]
        help_texts = {
            "from_bar": _("The bar's printed number."),
            "to_bar": _("Left empty, the note stands at the one bar."),
        }
        widgets = {
            "note_id": forms.HiddenInput,
            "text": forms.Textarea(attrs={"rows": 4}),
        }
