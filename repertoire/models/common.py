"""What models of this room share, and fields for the rooms above.

The fields introduce themselves to migrations as Django's own: what they add is done in Python, not in the
database, and a migration that named them could not be run once they had moved.
"""

import uuid
from os import PathLike
from typing import Any

from django.db import models, transaction
from django.db.models.fields.files import FieldFile

from repertoire.notation.instruments import INSTRUMENTS
from repertoire.wording.instruments import instrument_name


def instrument_choices() -> list[tuple[str, str]]:
    return [(key, instrument_name(key)) for key in INSTRUMENTS]


class InstrumentField(models.CharField):
    """The key of one of the instruments; a longer list of them is no change of the schema."""

    def __init__(self, *args, **kwargs) -> None:
        super().__init__(*args, **{**kwargs, "max_length": 30, "choices": instrument_choices})

    def deconstruct(self):
        name, _path, args, kwargs = super().deconstruct()
        del kwargs["choices"]
        return name, "django.db.models.CharField", args, kwargs


class RandomNameFileField(models.FileField):
    """A file stored under a random name: nothing of the person or of the uploaded name goes into its key."""

    def generate_filename(self, instance: Any, filename: str | PathLike[str]) -> str:
        return super().generate_filename(instance, uuid.uuid4().hex)

    def deconstruct(self):
        name, _path, args, kwargs = super().deconstruct()
        return name, "django.db.models.FileField", args, kwargs


def delete_for_good(stored: FieldFile) -> None:
    """Delete the file of a deleted row once that is stored, and not before."""
    storage, name = stored.storage, stored.name
    if name:
        transaction.on_commit(lambda: storage.delete(name))


def is_held(row: models.Model) -> bool:
    """Whether rows of any room rest on this one and keep it from being deleted."""
    return any(
        getattr(row, name).exists()
        for relation in row._meta.related_objects
        if relation.on_delete is models.PROTECT and (name := relation.get_accessor_name())
    )
