"""Which takes and which cells a person may open: strangers get 404."""

from django.shortcuts import get_object_or_404

from recordings.models import Take
from studio.access import entry_or_404
from studio.models import Entry, Requirement


def take_or_404(user, pk: int) -> Take:
    takes = Take.objects.visible_to(user).with_everything()
    return get_object_or_404(takes.defer("analysis__result", "requirement__excerpt__musicxml"), pk=pk)


def cell_or_404(user, entry_id: int, requirement_id: int) -> tuple[Entry, Requirement]:
    """One entry and one of the requirements it carries."""
    entry = entry_or_404(user, entry_id)
    requirements = entry.requirements.select_related("excerpt", "rubric").defer("excerpt__musicxml")
    return entry, get_object_or_404(requirements, pk=requirement_id)
