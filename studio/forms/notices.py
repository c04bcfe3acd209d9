from typing import cast

from django import forms
from django.utils.translation import gettext_lazy as _

from studio.models import Notice, User


class NoticesForm(forms.Form):
    """Which notices a person wants by mail."""

    wanted = forms.MultipleChoiceField(
        label=_("Mail me"), required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args, user: User) -> None:
        super().__init__(*args)
        self.user, self.kinds = user, Notice.kinds_for(user)
        wanted = cast(forms.MultipleChoiceField, self.fields["wanted"])
        wanted.choices = [(kind.value, kind.label) for kind in self.kinds]
        wanted.initial = [kind.value for kind in self.kinds if kind not in user.notices_off]

    def save(self) -> None:
        self.user.notices_off = [k.value for k in self.kinds if k not in self.cleaned_data["wanted"]]
        self.user.save(update_fields=["notices_off"])
