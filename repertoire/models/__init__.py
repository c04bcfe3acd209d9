from repertoire.models.attachment import Attachment
from repertoire.models.bar_note import BarNote, BarNoteQuerySet, check_bars
from repertoire.models.caption import Caption
from repertoire.models.common import (
    InstrumentField,
    RandomNameFileField,
    delete_for_good,
    instrument_choices,
    is_held,
)
from repertoire.models.earlier_score import EarlierScore
from repertoire.models.excerpt import Excerpt, ExcerptQuerySet
from repertoire.models.fingering import Fingering, shown_fingerings
from repertoire.models.rubric import Rubric, Total

__all__ = [
    "Attachment",
    "BarNote",
    "BarNoteQuerySet",
    "Caption",
    "EarlierScore",
    "Excerpt",
    "ExcerptQuerySet",
    "Fingering",
    "InstrumentField",
    "RandomNameFileField",
    "Rubric",
    "Total",
    "check_bars",
    "delete_for_good",
    "instrument_choices",
    "is_held",
    "shown_fingerings",
]
