"""Time as the database tells it, since the clocks of the machines differ."""

from datetime import timedelta

from django.db import models
from django.db.models.functions import Now


def from_now(span: timedelta) -> models.ExpressionWrapper:
    """The moment `span` from now; before it where `span` is negative."""
    return models.ExpressionWrapper(Now() + span, output_field=models.DateTimeField())
