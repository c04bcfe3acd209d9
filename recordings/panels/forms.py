"""The form that sets a panel up."""

from typing import cast

from django import forms
from django.db.models import Count
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from recordings.models import Panel
from recordings.panels.draw import draw_panel, takes_for
from repertoire.models import Rubric
from repertoire.wording.instruments import instrument_name
from studio.models import Audition, Invitation, Role, User

ALL = ""


class PanelForm(forms.Form):
    name = forms.CharField(label=_("Name"), max_length=120)
    group = forms.ChoiceField(label=_("Whose takes"), required=False)
    rubric = forms.ModelChoiceField(label=_("Marking form"), queryset=Rubric.objects.none(), empty_label=None)
    listeners = forms.ModelMultipleChoiceField(
        label=_("Listeners"),
        queryset=User.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text=_("Teachers of the studio. Guests are invited on the panel's page afterwards."),
    )
    hear_own = forms.BooleanField(
        label=_("Teachers hear their own students too"),
        required=False,
        help_text=_(
            "Teachers know how their own students play and cannot hear them blind. Without this, those takes "
            "go to the other listeners as long as there are at least two of them."
        ),
    )
    measurements_shown = forms.BooleanField(
        label=_("Listeners see what was measured"),
        required=False,
        help_text=_("Off, every listener trusts the ear alone."),
    )

    def __init__(self, *args, audition: Audition, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.audition = audition
        cast(forms.ChoiceField, self.fields["group"]).choices = _groups(audition)
        cast(forms.ModelChoiceField, self.fields["rubric"]).queryset = (
            Rubric.objects.current().filter(captions__isnull=False).distinct()
        )
        teachers = User.objects.with_role(Role.TEACHER)
        cast(forms.ModelMultipleChoiceField, self.fields["listeners"]).queryset = teachers

    def clean_group(self) -> tuple[str, str]:
        instrument, _bar, level = self.cleaned_data["group"].partition("|")
        if not takes_for(self.audition, instrument, level).exists():
            raise forms.ValidationError(
                _("There is no take here that a panel may hear. The list below says why.")
            )
        return instrument, level

    def draw(self, *, by: User) -> Panel:
        data = self.cleaned_data
        instrument, level = data["group"]
        panel = Panel(
            audition=self.audition,
            name=data["name"],
            instrument=instrument,
            level=level,
            rubric=data["rubric"],
            measurements_shown=data["measurements_shown"],
            made_by=by,
        )
        return draw_panel(panel, teachers=data["listeners"], hear_own=data["hear_own"])


class ListenerForm(forms.Form):
    """A further listener: a teacher of the studio at once, anybody from outside by an invitation."""

    name = forms.CharField(label=_("Name"), max_length=120)
    email = forms.EmailField(
        label=_("Mail address"),
        help_text=_("A teacher of the studio listens at once; anybody else gets an invitation by mail."),
    )

    def __init__(self, *args, panel: Panel, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.panel = panel

    def clean_email(self) -> str:
        email = self.cleaned_data["email"].lower()
        holder = User.objects.with_address(email)
        asked = Invitation.objects.open().filter(email=email, panel_listeners__panel=self.panel)
        if asked.exists() or self.panel.listeners.filter(user__email=email).exists():
            raise forms.ValidationError(_("This person is asked to this panel already."))
        if holder and not holder.is_teacher and holder.role_names - {Role.GUEST}:
            raise forms.ValidationError(
                _("This address belongs to somebody of the studio who does not teach and cannot listen here.")
            )
        return email


def _groups(audition: Audition) -> list[tuple[str, str]]:
    groups = audition.entries.order_by("instrument", "level").values_list("instrument", "level")
    counted = list(groups.annotate(count=Count("pk")))
    return [
        (ALL, str(_("all who are entered"))),
        *(
            (f"{instrument}|{level}", _label(instrument, level, count))
            for instrument, level, count in counted
        ),
    ]


def _label(instrument: str, level: str, count: int) -> str:
    people = ngettext("%(count)s student", "%(count)s students", count) % {"count": count}
    return f"{instrument_name(instrument)}, {level} ({people})"
