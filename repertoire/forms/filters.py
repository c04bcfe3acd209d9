from django import forms
from django.utils.translation import gettext_lazy as _

from repertoire.models import Excerpt, instrument_choices


class ExcerptFilterForm(forms.Form):
    """Narrows the list of music; a value nobody offers is as good as none."""

    instrument = forms.ChoiceField(
        label=_("Instrument"), required=False, choices=lambda: [("", _("all")), *instrument_choices()]
    )
    kind = forms.ChoiceField(label=_("Kind"), required=False, choices=[("", _("all")), *Excerpt.Kind.choices])

    def chosen(self) -> dict[str, str]:
        self.is_valid()
        return {name: self.cleaned_data.get(name, "") for name in self.fields}
