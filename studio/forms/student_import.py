from django import forms
from django.utils.translation import gettext_lazy as _

from studio.services.student_table import COLUMNS, NEEDED
from studio.services.table_file import BadTable, Table, read_table, table_of_text


class TableFileForm(forms.Form):
    file = forms.FileField(
        label=_("Table of students"),
        help_text=_("CSV or XLSX, a heading for each column, one student and instrument a line."),
        widget=forms.FileInput(attrs={"accept": ".csv,.xlsx,text/csv"}),
    )

    def clean_file(self) -> Table:
        try:
            return read_table(self.cleaned_data["file"].read())
        except BadTable as error:
            raise forms.ValidationError(str(error)) from error


class TableTextForm(forms.Form):
    """The table as the page before showed it."""

    table = forms.CharField(strip=False, error_messages={"required": _("Please choose the file again.")})

    def clean_table(self) -> Table:
        try:
            return table_of_text(self.cleaned_data["table"])
        except BadTable as error:
            raise forms.ValidationError(str(error)) from error


class ColumnsForm(forms.Form):
    """Which heading of the table holds what."""

    def __init__(self, *args, headings: tuple[str, ...], **kwargs) -> None:
        super().__init__(*args, **kwargs)
        choices = [
            ("", _("not in the table")),
            *((str(at), name) for at, name in enumerate(headings) if name),
        ]
        for key, label in COLUMNS.items():
            self.fields[key] = forms.ChoiceField(label=label, choices=choices, required=key in NEEDED)

    def clean(self) -> dict:
        super().clean()
        chosen: dict[str, str] = {}
        for key, place in list(self.cleaned_data.items()):
            if place and place in chosen:
                self.add_error(key, _("This column is chosen already for “%s”.") % COLUMNS[chosen[place]])
            chosen.setdefault(place, key)
        return self.cleaned_data

    @property
    def places(self) -> dict[str, int]:
        return {key: int(place) for key, place in self.cleaned_data.items() if place}
