from repertoire.models.common import is_held, plain_number
from repertoire.models.excerpt import Excerpt, ExcerptQuerySet, instrument_choices
from repertoire.models.rubric import Caption, Rubric

__all__ = ["Caption", "Excerpt", "ExcerptQuerySet", "Rubric", "instrument_choices", "is_held", "plain_number"]
