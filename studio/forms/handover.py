from datetime import timedelta
from typing import cast

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from studio.models import Handover, Role, User

LONGEST = timedelta(days=92)  # a choice: who is away for longer is better replaced for each student


def _date_input() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class HandoverForm(forms.ModelForm):
    """A teacher hands over the own students; a director says whose."""

    class Meta:
        model = Handover
        fields = ["teacher", "colleague", "from_day", "until_day"]
        widgets = {"from_day": _date_input(), "until_day": _date_input()}

    def __init__(self, *args, user: User, **more) -> None:
        super().__init__(*args, **more)
        teachers = User.objects.filter(is_active=True, roles__role=Role.TEACHER).distinct()
        self.instance.made_by = user
        for name, offered in (("teacher", teachers), ("colleague", teachers.exclude(pk=user.pk))):
            field = cast(forms.ModelChoiceField, self.fields[name])
            field.queryset = teachers if user.is_director else offered
        if not user.is_director:
            self.instance.teacher = user
            del self.fields["teacher"]
        self.fields["from_day"].initial = timezone.localdate()

    def clean(self) -> dict:
        cleaned = super().clean() or {}
        first, last = cleaned.get("from_day"), cleaned.get("until_day")
        if last and last < timezone.localdate():
            self.add_error("until_day", _("That day is over already."))
        elif first and last and last - first > LONGEST:
            self.add_error(
                "until_day",
                _("Three months at most. For longer, a director gives the students another teacher."),
            )
        return cleaned
