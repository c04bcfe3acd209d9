from django import forms
from django.utils.translation import gettext_lazy as _


class PrivacyForm(forms.Form):
    text = forms.CharField(
        label=_("What families read"),
        max_length=20_000,
        widget=forms.Textarea(attrs={"rows": 24}),
        help_text=_("An empty line begins a paragraph; a line that begins with # is a heading."),
    )
