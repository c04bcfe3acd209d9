from collections.abc import Mapping
from typing import Any, cast

from django import forms
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from repertoire.forms.rare import RareFields
from studio.models import SendingRules
from studio.sending.rules import FORMATS
from studio.services.sending_rules_file import BadRulesFile, ReadRules, read

FORMAT_NAMES = {
    "mp3": "MP3",
    "m4a": "M4A (AAC)",
    "wav": "WAV",
    "flac": "FLAC",
    "ogg": "Ogg",
    "aiff": "AIFF",
    "mp4": _("MP4 (video)"),
    "webm": "WebM",
}


class LengthField(forms.Field):
    """Seconds, typed and shown as minutes: "6" or "4:30"."""

    def __init__(self, **kwargs) -> None:
        super().__init__(**{"required": False, "widget": forms.TextInput(attrs={"size": 8}), **kwargs})

    def prepare_value(self, value: Any) -> Any:
        return f"{value // 60}:{value % 60:02}" if isinstance(value, int) else value

    def to_python(self, value: Any) -> int | None:
        text = str(value or "").strip()
        minutes, colon, seconds = text.partition(":")
        if not text:
            return None
        whole = minutes.isdecimal() and len(minutes) <= 4
        if not whole or (colon and not (seconds.isdecimal() and len(seconds) == 2 and int(seconds) < 60)):
            raise forms.ValidationError(_now("Please write minutes and seconds, such as 4:30."))
        length_s = int(minutes) * 60 + int(seconds or 0)
        if not length_s:
            raise forms.ValidationError(_now("Please write a length, or leave this empty."))
        return length_s

    def has_changed(self, initial: Any, data: Any) -> bool:
        return self.prepare_value(initial) != data


RARE = (
    "shortest_s",
    "longest_total_s",
    "largest_total_mb",
    "most_files",
    "lowest_kbps",
    "highest_kbps",
    "without_metadata",
    "order",
    "notes",
)


class SendingRulesForm(RareFields, forms.ModelForm):
    rare = RARE

    formats = forms.MultipleChoiceField(
        label=_("Formats"),
        choices=[(key, FORMAT_NAMES[key]) for key in FORMATS],
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text=_("None ticked: any format may be sent."),
    )
    longest_s = LengthField(label=_("Longest file"), help_text=_("Minutes and seconds, such as 4:30."))
    shortest_s = LengthField(label=_("Shortest file"))
    longest_total_s = LengthField(label=_("Longest all together"))

    class Meta:
        model = SendingRules
        fields = [
            "files",
            "picture",
            "formats",
            "longest_s",
            "largest_mb",
            "announcement",
            "judged_blind",
            "name_pattern",
            "student_statement",
            "guardian_statement",
            "place",
            *RARE,
        ]
        help_texts = {
            "files": _(
                "Nothing is joined or cut here: one file with everything needs a recording of everything."
            ),
            "judged_blind": _(
                "File names carry no name, and what a file says of itself (title, artist, place) is removed."
            ),
            "name_pattern": _(
                "In braces: {number}, {music}, {instrument}, {level}, {audition}, {entry}, {student}."
            ),
            "student_statement": _("In the body's own words; empty where nothing is signed."),
            "guardian_statement": _("The same for a guardian, asked of minors only."),
            "place": _("An address or page; it is only shown, nothing is sent there by itself."),
        }
        widgets = {
            "student_statement": forms.Textarea(attrs={"rows": 3}),
            "guardian_statement": forms.Textarea(attrs={"rows": 3}),
            "notes": forms.Textarea(attrs={"rows": 3}),
        }

    @classmethod
    def with_values(cls, values: Mapping[str, Any], instance: SendingRules) -> "SendingRulesForm":
        """As if somebody had typed what a file holds; what does not fit is told beside its field."""
        empty = cls(instance=SendingRules(audition=instance.audition))
        data: dict[str, Any] = {}
        for name, field in empty.fields.items():
            value = field.prepare_value(values[name]) if name in values else empty[name].value()
            if isinstance(value, list | tuple):
                data[name] = [str(each) for each in value]
            elif value is not None and value is not False:
                data[name] = "on" if value is True else str(value)
        return cls(cast(Any, _Typed(data)), instance=instance)


class _Typed(dict):
    """Enough of a request's data for widgets that read several values of one name."""

    def getlist(self, name: str) -> list[str]:
        value = self.get(name, [])
        return value if isinstance(value, list) else [value]


class RulesFileForm(forms.Form):
    file = forms.FileField(
        label=_("Rules from a file"),
        help_text=_("Shown first; nothing is saved until you have looked at it."),
        widget=forms.FileInput(attrs={"accept": ".json,application/json"}),
    )

    def clean_file(self) -> ReadRules:
        try:
            return read(self.cleaned_data["file"].read())
        except BadRulesFile as error:
            raise forms.ValidationError(str(error)) from error
