"""What people type into marking forms, as it can be kept."""

import re
from decimal import Decimal, InvalidOperation

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

# Half characters and the zero character, which no database keeps.
_UNKEPT = re.compile("[\x00\ud800-\udfff]")


def kept_text(typed: str) -> str:
    """Without what no database keeps, and with one kind of line end."""
    return _UNKEPT.sub("", typed.replace("\r\n", "\n"))


def typed_mark(typed: str) -> Decimal | None:
    """The number that was typed, with a comma or a point; None where nothing was. Raises ValidationError."""
    text = typed.strip().replace(",", ".")
    if not text:
        return None
    try:
        value = Decimal(text)
    except InvalidOperation:
        value = Decimal("NaN")
    if not value.is_finite():
        raise ValidationError(_("Please give this mark as a number."))
    return value
