"""Numbers as people write them. `plain_number` raises `decimal.InvalidOperation` for what is no number."""

from decimal import Decimal


def plain_number(value: Decimal | float | str) -> str:
    """A number without idle noughts: "10", "0.5"."""
    return f"{Decimal(str(value)).normalize():f}"


def clock(seconds: float) -> str:
    """Whole seconds gone by as minutes and seconds: 83.4 gives "1:23"."""
    whole = max(0, int(seconds))
    return f"{whole // 60}:{whole % 60:02d}"
