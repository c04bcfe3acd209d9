"""A requirement's music on paper: its bars in their order, its tempo, fingering and bar notes."""

from django.utils.translation import gettext as _

from repertoire.paper.music import music_part, pdf_of, printed_notes
from repertoire.show.wording import tempo_changes
from repertoire.wording.words import short_number
from studio.models import Requirement


def requirement_pdf(requirement: Requirement, *, paper: str, every_bar: bool) -> bytes:
    excerpt, order = requirement.excerpt, requirement.order
    part = music_part(
        excerpt,
        paper=paper,
        order=order,
        tempo_text=tempo_text(requirement),
        more_lines=[" ".join(tempo_changes(excerpt.score, asked=set(order)))],
        notes=printed_notes(excerpt),
        every_bar=every_bar,
    )
    return pdf_of([part], paper=paper)


def tempo_text(requirement: Requirement) -> str:
    return _("%(unit)s = %(bpm)s, %(low)s to %(high)s is fine") % {
        "unit": requirement.excerpt.get_beat_unit_display(),
        "bpm": short_number(requirement.marked_bpm),
        "low": short_number(requirement.low_bpm),
        "high": short_number(requirement.high_bpm),
    }
