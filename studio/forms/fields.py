from datetime import date

from django import forms
from django.utils.timezone import get_current_timezone_name
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from studio.services.levels import known_levels

# Other years are slips of the keyboard, and at the calendar's ends a moment has no equal in another zone.
FIRST_YEAR, LAST_YEAR = 1990, 2200


def check_year(day: date) -> None:
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise forms.ValidationError(gettext("Please check the year."))


class DayInput(forms.DateInput):
    input_type = "date"

    def __init__(self, **kwargs) -> None:
        super().__init__(format="%Y-%m-%d", **kwargs)


class MomentInput(forms.DateTimeInput):
    input_type = "datetime-local"

    def __init__(self, **kwargs) -> None:
        super().__init__(format="%Y-%m-%dT%H:%M", **kwargs)


def moment_help() -> str:
    """Names the zone a time is typed in: the studio's, which is in force while a page is made."""
    return gettext("Time in %(zone)s.") % {"zone": get_current_timezone_name()}


class LevelInput(forms.TextInput):
    """Free text that offers the levels already in use."""

    template_name = "forms/level.html"

    def get_context(self, name, value, attrs):
        context = super().get_context(name, value, attrs)
        context["levels"] = known_levels()
        context["widget"]["attrs"]["list"] = f"levels-{name}"
        return context


LEVEL_HELP = _("The studio's own word, such as junior or senior. It decides which requirements apply.")
