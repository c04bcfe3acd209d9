"""What models of this room share."""

from decimal import Decimal

from django.db import models


def plain_number(value) -> str:
    """A decimal as a person writes it: "10", "0.5"."""
    return f"{Decimal(value).normalize():f}"


def is_held(row: models.Model) -> bool:
    """Whether rows of any room rest on this one and keep it from being deleted."""
    return any(
        getattr(row, relation.get_accessor_name()).exists()
        for relation in row._meta.related_objects
        if relation.on_delete is models.PROTECT
    )
