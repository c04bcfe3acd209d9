"""What stands above the engraving: key, metre, bars, order of play, tempo."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from repertoire.library.fit import sounding_words
from repertoire.models import Excerpt
from repertoire.show.wording import changes, key_name, metre_name, tempo_changes


@dataclass(frozen=True, slots=True)
class Fact:
    name: str
    value: str


def facts(excerpt: Excerpt) -> list[Fact]:
    score = excerpt.score
    found = [
        Fact(_("Instrument"), str(excerpt.get_instrument_display())),
        Fact(_("Composer"), excerpt.composer),
        Fact(_("Source"), excerpt.source),
        Fact(_("Key"), changes(score, key_name)),
        Fact(_("Metre"), changes(score, metre_name)),
        Fact(_("Tempo"), excerpt.tempo_text),
        Fact(_("Tempo changes"), " ".join(tempo_changes(score))),
        Fact(_("Bars"), str(excerpt.bar_count)),
        Fact(_("Order of play"), excerpt.order_text),
        Fact(_("Intonation against"), str(excerpt.get_temperament_display())),
    ]
    if score.transposition:
        found.append(Fact(_("Transposition"), sounding_words(score.transposition)))
    return [fact for fact in found if fact.value]
