"""How far an open panel is: who listens, how much is marked, which sounds are ready. No name of a player."""

from dataclasses import dataclass

from django.db.models import Count

from recordings.models import Panel, PanelListener, PanelSheet, PanelTake
from recordings.panels.draw import ENOUGH_LISTENERS
from studio.models import User


@dataclass(frozen=True, slots=True)
class ListenerLine:
    listener: PanelListener
    sheets: int
    marked: int

    @property
    def withheld(self) -> bool:
        """Whether takes go to the others because this listener teaches the player."""
        return not self.listener.hears_own and self.listener.user_id is not None


def progress_of(panel: Panel, user: User) -> dict:
    lines = _lines(panel)
    states = dict(panel.takes.order_by().values_list("sound_state").annotate(n=Count("pk")))
    return {
        "panel": panel,
        "lines": lines,
        "take_count": sum(states.values()),
        "waiting_count": states.get(PanelTake.SoundState.WAITING, 0),
        "failed": list(panel.takes.filter(sound_state=PanelTake.SoundState.FAILED)),
        "gone_count": panel.takes.count() - panel.takes.hearable().count(),
        "listens_too": any(line.listener.user_id == user.pk for line in lines),
        "open_sheets": _unmarked(lines),
        "too_few": len(lines) < ENOUGH_LISTENERS,
    }


def open_sheets(panel: Panel) -> int:
    """How many sheets that can be heard are not marked whole."""
    return _unmarked(_lines(panel))


def _unmarked(lines: list[ListenerLine]) -> int:
    return sum(line.sheets - line.marked for line in lines)


def _lines(panel: Panel) -> list[ListenerLine]:
    """A line for each listener; a sheet counts as marked once every caption has a mark."""
    captions = panel.rubric.captions.count()
    sheets = PanelSheet.objects.hearable().filter(listener__panel=panel).order_by()
    per_sheet = sheets.annotate(n=Count("marks")).values_list("listener", "n")
    counted: dict[int, list[int]] = {}
    for listener_id, marks in per_sheet:
        counted.setdefault(listener_id, []).append(marks)
    return [
        ListenerLine(
            listener,
            len(counted.get(listener.pk, [])),
            sum(n >= captions for n in counted.get(listener.pk, [])),
        )
        for listener in panel.listeners.select_related("user", "invitation")
    ]
