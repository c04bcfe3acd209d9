"""Forms about a student's data: asking for deletion, declining it, and deleting."""

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from studio.models import Student


class AskDeletionForm(forms.Form):
    sure = forms.BooleanField(
        label=gettext_lazy("Everything is to be deleted for good, the recordings too"),
        error_messages={"required": gettext_lazy("Please tick the box if this is so.")},
    )


class WithdrawConsentForm(forms.Form):
    sure = forms.BooleanField(
        label=gettext_lazy("I withdraw my agreement"),
        error_messages={"required": gettext_lazy("Please tick the box if this is so.")},
    )


class DeclineForm(forms.Form):
    reason = forms.CharField(
        label=gettext_lazy("Why it is not done, as the family reads it"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class EraseForm(forms.Form):
    """The second look: whoever deletes types whose everything it is."""

    name = forms.CharField(label=gettext_lazy("The student's name, as it stands above"), max_length=120)

    def __init__(self, *args, student: Student, **more) -> None:
        super().__init__(*args, **more)
        self.student = student

    def clean_name(self) -> str:
        name = " ".join(self.cleaned_data["name"].split())
        if name.casefold() != " ".join(self.student.name.split()).casefold():
            raise forms.ValidationError(_("This is not the student's name as it stands above."))
        return name
