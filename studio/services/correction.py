"""A corrected score, and the requirements that ask for bars of it."""

from dataclasses import dataclass

from django.db import transaction
from django.utils.translation import gettext as _

from repertoire.library.correction import correct, has_bars, has_line
from repertoire.models import Excerpt
from repertoire.notation.read.reading import CanonicalScore
from repertoire.notation.score import Score
from studio.models import Requirement, User


@dataclass(frozen=True, slots=True)
class AskedBars:
    """What one requirement asks for: from bar to bar, an order as a line, or all of it where empty."""

    pk: int
    words: str  # which audition, for whom
    from_bar: str
    to_bar: str
    line: str = ""

    def fits(self, score: Score) -> bool:
        if self.line:
            return has_line(score, self.line)
        return not self.from_bar or has_bars(score, self.from_bar, self.to_bar)


def bars_asked(excerpt: Excerpt) -> list[AskedBars]:
    requirements = Requirement.objects.filter(excerpt=excerpt).exclude(from_bar="", order_line="")
    return [
        AskedBars(
            pk=requirement.pk,
            words=_("%(audition)s, %(instrument)s, %(level)s")
            % {
                "audition": requirement.audition.name,
                "instrument": requirement.get_instrument_display(),
                "level": requirement.level,
            },
            from_bar=requirement.from_bar,
            to_bar=requirement.to_bar,
            line=requirement.order_line,
        )
        for requirement in requirements.select_related("audition")
    ]


def lost_bars(excerpt: Excerpt, score: Score) -> list[AskedBars]:
    """Requirements whose bars the corrected score no longer has."""
    return [asked for asked in bars_asked(excerpt) if not asked.fits(score)]


@transaction.atomic
def correct_and_ask_anew(
    excerpt: Excerpt, canonical: CanonicalScore, *, by: User, bars: list[AskedBars]
) -> None:
    """Put the corrected score in place, with new bars for the requirements that need them."""
    correct(excerpt, canonical, by=by)
    for asked in bars:
        Requirement.objects.filter(pk=asked.pk).update(
            from_bar=asked.from_bar, to_bar=asked.to_bar, order_line=asked.line
        )
