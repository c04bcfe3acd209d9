"""The five levels as a student chooses them."""

from django.utils.translation import gettext_lazy as _

LEVELS = {
    1: _("Steps, quarters and halves"),
    2: _("Some leaps, eighths"),
    3: _("Dotted notes, rests, a strange sign"),
    4: _("Sixteenths, off the beat, wider leaps"),
    5: _("Triplets, ties, octaves"),
}
