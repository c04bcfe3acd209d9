"""What is typed and may be a slip: told next to its field, and taken once the person says it is meant."""

from datetime import date, datetime
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

TICK = "_meant"


def is_over(at: datetime | date) -> bool:
    """A moment that is past, or a day before today in the studio's zone."""
    return at < timezone.now() if isinstance(at, datetime) else at < timezone.localdate()


def day_words(day: date) -> str:
    return date_format(day, _("j M Y"))


class AsksBack(forms.BaseForm):
    """`ask_back` puts a tick below a field, its value what was typed: another value is asked about anew."""

    def ask_back(self, name: str, sentence: Any) -> None:
        typed = str(self[name].value())
        tick = f"{name}{TICK}"
        ticked = self.data.get(self.add_prefix(tick)) == self.data.get(self.add_prefix(name))
        self.fields[tick] = forms.BooleanField(
            label=_("Yes, I mean it"),
            required=False,
            widget=forms.CheckboxInput(attrs={"value": typed}),
        )
        self._place_below(name, tick)
        if not ticked:
            self.add_error(name, sentence)

    def _place_below(self, name: str, tick: str) -> None:
        order = [other for other in self.fields if other != tick]
        order.insert(order.index(name) + 1, tick)
        self.order_fields(order)
