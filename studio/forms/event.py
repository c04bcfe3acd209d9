from django import forms
from django.utils.translation import gettext_lazy as _

from studio.models import Event, Role, User


class EventSearch(forms.Form):
    kind = forms.ChoiceField(
        label=_("What happened"), choices=[("", _("Everything")), *Event.Kind.choices], required=False
    )
    by = forms.ModelChoiceField(
        User.objects.filter(roles__role__in=[Role.DIRECTOR, Role.TEACHER]).distinct().order_by("name", "pk"),
        label=_("Who did it"),
        empty_label=_("Everybody"),
        required=False,
    )
    since = forms.DateField(label=_("From"), required=False, widget=forms.DateInput(attrs={"type": "date"}))
    until = forms.DateField(label=_("Until"), required=False, widget=forms.DateInput(attrs={"type": "date"}))
