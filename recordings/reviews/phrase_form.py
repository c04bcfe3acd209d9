from django import forms
from django.utils.translation import gettext_lazy as _

from recordings.models import Phrase
from recordings.reviews.typed import kept_text


class PhraseForm(forms.ModelForm):
    """One phrase; a director says whether it is the studio's."""

    for_studio = forms.BooleanField(
        label=_("for everybody who teaches here"), required=False, help_text=_("The studio's phrases.")
    )

    class Meta:
        model = Phrase
        fields = ["text", "topic"]
        widgets = {"text": forms.Textarea(attrs={"rows": 3})}
        help_texts = {
            "text": _("{bars} becomes the bars of the remark, {notes} the notes it is about."),
            "topic": _("Offered for remarks on this; “Anything” everywhere."),
        }

    def __init__(self, *args, user, **more) -> None:
        super().__init__(*args, **more)
        self.user = user
        if user.is_director:
            self.fields["for_studio"].initial = bool(self.instance.pk) and self.instance.owner_id is None
        else:
            del self.fields["for_studio"]

    def clean_text(self) -> str:
        return kept_text(self.cleaned_data["text"]).strip()

    def save(self, commit: bool = True) -> Phrase:
        """A phrase that was the studio's and no longer is becomes this director's own."""
        shared = self.cleaned_data.get("for_studio", False)
        if shared:
            self.instance.owner = None
        elif self.instance.owner_id is None:
            self.instance.owner = self.user
        return super().save(commit)
