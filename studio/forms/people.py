from typing import cast
from zoneinfo import available_timezones

from django import forms
from django.conf import settings
from django.contrib.auth.password_validation import validate_password
from django.utils.translation import gettext_lazy as _

from studio.asked_again import has_second_factor
from studio.forms.fields import LEVEL_HELP, LevelInput
from studio.models import Role, Student, Studio, User
from studio.services.levels import settle_level


class StudioForm(forms.ModelForm):
    time_zone = forms.ChoiceField(
        label=_("Time zone"),
        choices=lambda: [(name, name) for name in sorted(available_timezones())],
        help_text=_("Every closing time and deadline is entered and shown in this zone."),
    )
    language = forms.ChoiceField(
        label=_("Language of mails"),
        choices=[("", _("that of the page they are sent from")), *settings.LANGUAGES],
        required=False,
        help_text=_("For everybody who chose none of their own. Pages keep to what a browser asks for."),
    )

    class Meta:
        model = Studio
        fields = [
            *("name", "time_zone", "language", "ready_percent", "tuning_a_hz", "practice_days"),
            *("keep_all_at_once", "backups_kept_days", "second_factor_required"),
        ]

    def __init__(self, *args, by: User, **more) -> None:
        super().__init__(*args, **more)
        self.by = by

    def clean_second_factor_required(self) -> bool:
        """Whoever asks it of others has one: so it is known to work, and the studio keeps its director."""
        required = self.cleaned_data["second_factor_required"]
        if required and not self.instance.second_factor_required and not has_second_factor(self.by):
            raise forms.ValidationError(_("Please set up your own second factor first, on your account."))
        return required


class StudentForm(forms.ModelForm):
    class Meta:
        model = Student
        fields = ["name", "instrument", "level", "teacher", "email", "is_minor", "guardian_email"]
        widgets = {"level": LevelInput}
        help_texts = {
            "level": LEVEL_HELP,
            "email": _("Needed to invite the student."),
            "is_minor": _("A guardian must agree before a minor can hand in a take."),
        }

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        cast(forms.ModelChoiceField, self.fields["teacher"]).queryset = User.objects.with_role(Role.TEACHER)
        if self.instance.pk:
            self.fields["level"].help_text = _("Entries made before keep the level they were made with.")

    def clean_level(self) -> str:
        return settle_level(self.cleaned_data["level"])

    def clean(self) -> dict:
        super().clean()
        data = self.cleaned_data
        if self._is_listed(data):
            self.add_error("name", _("This student is already listed on this instrument."))
        if data.get("is_minor") and not data.get("guardian_email") and "guardian_email" not in self.errors:
            self.add_error("guardian_email", _("A minor needs a guardian's mail address."))
        if data.get("email") and data["email"].lower() == (data.get("guardian_email") or "").lower():
            self.add_error("guardian_email", _("The guardian needs a mail address of their own."))
        return data

    def _is_listed(self, data: dict) -> bool:
        """The very same student, sent twice; two students may share a name, not all of this."""
        same = {name: data.get(name, "") for name in ("name", "instrument", "email", "guardian_email")}
        return Student.objects.filter(**same).exclude(pk=self.instance.pk).exists()


class InviteForm(forms.Form):
    """Invites staff; students and guardians are invited from the student's page."""

    name = forms.CharField(label=_("Name"), max_length=120)
    email = forms.EmailField(label=_("Mail address"))
    role = forms.ChoiceField(
        label=_("Role"),
        choices=[(Role.TEACHER.value, Role.TEACHER.label), (Role.DIRECTOR.value, Role.DIRECTOR.label)],
    )

    def clean(self) -> dict:
        super().clean()
        data = self.cleaned_data
        holder = User.objects.filter(email__iexact=data.get("email", ""), roles__role=data.get("role"))
        if holder.exists():
            self.add_error("email", _("This person already has that role."))
        return data


class AccountForm(forms.ModelForm):
    language = forms.ChoiceField(
        label=_("Language of pages and mails"),
        choices=[("", _("as my browser asks for")), *settings.LANGUAGES],
        required=False,
    )

    class Meta:
        model = User
        fields = ["name", "language"]


class AcceptForm(forms.Form):
    """A new account from an invitation: a name, and a password or the wish for mailed codes."""

    PASSWORD, CODE = "password", "code"

    name = forms.CharField(label=_("Your name"), max_length=120)
    access = forms.ChoiceField(
        label=_("How you want to sign in"),
        choices=[
            (PASSWORD, _("With a password")),
            (CODE, _("With a code mailed to me each time")),
        ],
        widget=forms.RadioSelect,
        initial=PASSWORD,
    )
    password = forms.CharField(
        label=_("Password"),
        required=False,
        strip=False,
        help_text=_("At least 10 characters. Not needed with mailed codes."),
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    password_again = forms.CharField(
        label=_("Password again"),
        required=False,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def __init__(self, *args, email: str, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.email = email

    def clean(self) -> dict:
        super().clean()
        data = self.cleaned_data
        if data.get("access") == self.CODE:
            data["password"] = ""
        elif not data.get("password"):
            self.add_error("password", _("Choose a password, or mailed codes above."))
        else:
            self._check_password(data)
        return data

    def _check_password(self, data: dict) -> None:
        if data["password"] != data.get("password_again"):
            self.add_error("password_again", _("The two passwords differ."))
        try:
            validate_password(data["password"], User(email=self.email, name=data.get("name", "")))
        except forms.ValidationError as error:
            self.add_error("password", error)


class ConsentForm(forms.Form):
    agreed = forms.BooleanField(
        label=_("I have read this and agree."),
        error_messages={"required": _("Please tick the box if you agree.")},
    )
    panels = forms.BooleanField(
        label=_("Panels may hear the takes too."),
        required=False,
        help_text=_(
            "For a mock audition the director can let other teachers and invited guests hear the takes: "
            "under a code, without the name, only until that panel is closed. You may leave this out."
        ),
    )
