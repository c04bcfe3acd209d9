"""Forms with fields that few people need: they wait below the others until asked for."""

from typing import ClassVar

from django import forms


class RareFields(forms.BaseForm):
    """Names rare fields; `forms/rows.html` lays them under "More", open where one of them says something."""

    rare: ClassVar[tuple[str, ...]] = ()

    @property
    def rare_is_open(self) -> bool:
        return any(self[name].errors or self._says_something(name) for name in self.rare)

    def _says_something(self, name: str) -> bool:
        field, value = self.fields[name], self[name].value()
        usual = field.initial() if callable(field.initial) else field.initial
        return value not in (None, "", False) and str(value) != str(usual)
