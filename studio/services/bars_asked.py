"""What requirements ask of the bars of an excerpt, for the room that corrects its score."""

from django.utils.translation import gettext as _

from repertoire.models import Excerpt
from studio.models import Requirement


def bars_asked(excerpt: Excerpt) -> list[dict]:
    requirements = Requirement.objects.filter(excerpt=excerpt).exclude(from_bar="", order_line="")
    return [
        {
            "pk": requirement.pk,
            "words": _("%(audition)s, %(instrument)s, %(level)s")
            % {
                "audition": requirement.audition.name,
                "instrument": requirement.get_instrument_display(),
                "level": requirement.level,
            },
            "from_bar": requirement.from_bar,
            "to_bar": requirement.to_bar,
            "line": requirement.order_line,
        }
        for requirement in requirements.select_related("audition")
    ]


def ask_for_bars(pk: int, first: str, last: str, line: str) -> None:
    """From bar to bar or an order as a line; all empty for the whole piece as printed."""
    Requirement.objects.filter(pk=pk).update(from_bar=first, to_bar=last, order_line=line)
