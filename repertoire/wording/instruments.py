from django.utils.translation import gettext

from repertoire.notation.instruments import INSTRUMENTS


def instrument_name(key: str) -> str:
    """The name for lists and headings; the catalogue takes the names from `instruments.toml`."""
    return gettext(INSTRUMENTS[key].name)
