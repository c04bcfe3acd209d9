from typing import cast

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repertoire.models import Excerpt
from studio.forms.fields import MomentInput, check_year, moment_help
from studio.forms.meant import AsksBack, is_over
from studio.models import Clinic, Role, Student, User, students_playing


class ClinicMusicForm(forms.Form):
    """The first step: the music decides who can be invited."""

    excerpt = forms.ModelChoiceField(
        label=gettext_lazy("Music"), queryset=Excerpt.objects.for_lists(), empty_label=None
    )


class ClinicForm(AsksBack, forms.ModelForm):
    class Meta:
        model = Clinic
        fields = ["held_at", "place", "leader", "for_all", "students", "notes"]
        widgets = {
            "held_at": MomentInput,
            "students": forms.CheckboxSelectMultiple,
            "notes": forms.Textarea(attrs={"rows": 4}),
        }
        help_texts = {
            "for_all": gettext_lazy("Also those who are entered for it later."),
            "students": gettext_lazy("Counts only where the clinic is not for all."),
            "notes": gettext_lazy("Everyone invited reads them, and they stand on the hand-out."),
        }

    def __init__(self, *args, user: User, **kwargs) -> None:
        super().__init__(*args, **kwargs)
        self.fields["held_at"].help_text = moment_help()
        self.fields["held_at"].validators.append(check_year)
        playing = students_playing(self.instance.excerpt).values("pk")
        cast(forms.ModelChoiceField, self.fields["students"]).queryset = Student.objects.visible_to(
            user
        ).filter(pk__in=playing)
        self.hidden = (
            []
            if self.instance.pk is None
            else list(self.instance.students.exclude(pk__in=Student.objects.visible_to(user).values("pk")))
        )
        if user.is_director:
            cast(forms.ModelChoiceField, self.fields["leader"]).queryset = User.objects.with_role(
                Role.TEACHER
            )
        else:
            self.instance.leader = user
            del self.fields["leader"]

    def clean(self) -> dict:
        super().clean()
        data = self.cleaned_data
        if not data.get("for_all") and "students" not in self.errors:
            if not data.get("students") and not self.hidden:
                self.add_error(
                    "students", _("Please choose who is invited, or invite all who play this music.")
                )
            else:
                # Students this person may not see were invited by someone else and stay so.
                data["students"] = [*data["students"], *self.hidden]
        if data.get("held_at") and "held_at" in self.changed_data and is_over(data["held_at"]):
            self.ask_back("held_at", _("This time is over already. Is the year right?"))
        return data
