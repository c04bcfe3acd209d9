"""Rows that others keep facts of: whoever follows them hears of every change, however it is stored.

`save` and `delete` send Django's own signals. What a queryset changes at once sends `rows_changed`, in the
same transaction.
"""

from typing import ClassVar

from django.db import models, transaction
from django.dispatch import Signal

rows_changed = Signal()  # sender: the model; pks: of the rows changed
rows_added = Signal()  # sender: the model; rows: the objects, without their numbers where some were there


class TellingQuerySet(models.QuerySet):
    """`told` names the fields others keep facts of; an update of anything else is nobody's business."""

    told: ClassVar[frozenset[str]] = frozenset()

    def update(self, **changes) -> int:
        if not self.told & changes.keys():
            return super().update(**changes)
        with transaction.atomic():
            # What matches from here on is left to whoever made it match, as if this had come earlier.
            pks = list(self.order_by().values_list("pk", flat=True))
            changed = super(TellingQuerySet, self.filter(pk__in=pks)).update(**changes)
            if changed:
                rows_changed.send(self.model, pks=pks)
        return changed

    def bulk_create(self, objs, *args, **kwargs):
        with transaction.atomic():
            made = super().bulk_create(objs, *args, **kwargs)
            rows_added.send(self.model, rows=made)
        return made
