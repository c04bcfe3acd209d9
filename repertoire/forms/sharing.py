from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repertoire.models import Rubric
from repertoire.notation.read.safety import DEFAULT_LIMITS


class ShareForm(forms.Form):
    rubric = forms.ModelChoiceField(
        label=gettext_lazy("Marking form"),
        queryset=Rubric.objects.current(),
        required=False,
        empty_label=gettext_lazy("none"),
    )
    with_authors = forms.BooleanField(
        label=gettext_lazy("With the names of those who wrote the notes"),
        required=False,
        help_text=gettext_lazy("Please ask them first."),
    )


class ImportForm(forms.Form):
    file = forms.FileField(
        label=gettext_lazy("Shared folder"),
        widget=forms.FileInput(attrs={"accept": ".zip"}),
        help_text=gettext_lazy("The zip as it was downloaded from the other studio."),
    )

    def clean_file(self):
        upload = self.cleaned_data["file"]
        if upload.size > DEFAULT_LIMITS.compressed_bytes:
            raise forms.ValidationError(_("The file is larger than a shared folder needs to be."))
        return upload
