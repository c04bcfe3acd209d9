"""Names of instruments in the language of now."""

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as _

from repertoire.notation.instruments import INSTRUMENTS

# The names of `instruments.toml` once more, since the catalogue is made from Python and pages.
NAMES = (
    _("Violin"),
    _("Viola"),
    _("Cello"),
    _("Double bass"),
    _("Flute"),
    _("Piccolo"),
    _("Alto flute"),
    _("Soprano recorder"),
    _("Alto recorder"),
    _("Oboe"),
    _("Cor anglais"),
    _("Clarinet in E flat"),
    _("Clarinet in B flat"),
    _("Clarinet in A"),
    _("Bass clarinet"),
    _("Bassoon"),
    _("Contrabassoon"),
    _("Soprano saxophone"),
    _("Alto saxophone"),
    _("Tenor saxophone"),
    _("Baritone saxophone"),
    _("Trumpet in B flat"),
    _("Trumpet in C"),
    _("Cornet in B flat"),
    _("Horn in F"),
    _("Trombone"),
    _("Bass trombone"),
    _("Euphonium"),
    _("Euphonium or baritone, treble clef"),
    _("Tuba"),
    _("Glockenspiel"),
    _("Xylophone"),
    _("Vibraphone"),
    _("Marimba"),
    _("Timpani"),
    _("Harp"),
    _("Guitar"),
    _("Piano"),
    _("Soprano voice"),
    _("Mezzo-soprano voice"),
    _("Alto voice"),
    _("Tenor voice"),
    _("Baritone voice"),
    _("Bass voice"),
    _("Other instrument"),
)


def instrument_name(key: str) -> str:
    """The name for lists and headings."""
    return gettext(INSTRUMENTS[key].name)
