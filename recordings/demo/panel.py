"""The demo's mock auditions: one that is being heard, and one that is closed."""

from decimal import Decimal

from recordings.models import Panel, PanelMark, PanelSheet
from recordings.panels.closing import close_panel
from recordings.panels.draw import draw_panel
from studio.models import Requirement, User


def load_panels(plan: dict, people: dict[str, User], requirements: dict[str, Requirement]) -> None:
    for row in plan["panels"]:
        _panel(row, people, requirements[row["requirement"]])


def _panel(row: dict, people: dict[str, User], asked: Requirement) -> None:
    panel = Panel(
        audition=asked.audition,
        name=row["name"],
        rubric=asked.rubric,
        seed=row["seed"],
        made_by=people[row["by"]],
    )
    listeners = [people[key] for key in row["listeners"]]
    draw_panel(panel, teachers=listeners, hear_own=bool(row.get("closed")))
    for key, marked in row["marks"].items():
        sheets = list(panel.listeners.get(user=people[key]).sheets.all())
        # As far as the listener has come; in a closed panel by take, in the order they were handed in.
        by_take = {
            pk: place for place, pk in enumerate(panel.takes.order_by("take").values_list("pk", flat=True))
        }
        for place, sheet in enumerate(sheets):
            number = by_take[sheet.panel_take_id] if row.get("closed") else place
            if number < len(marked):
                _mark(sheet, panel, marked[number])
        for sheet, remark in zip(sheets, row.get("remarks", {}).get(key, []), strict=False):
            PanelSheet.objects.filter(pk=sheet.pk).update(remark=remark)
    if row.get("closed"):
        close_panel(panel)


def _mark(sheet: PanelSheet, panel: Panel, values: list) -> None:
    PanelMark.objects.bulk_create(
        PanelMark(sheet=sheet, caption=caption, value=Decimal(str(value)))
        for caption, value in zip(panel.rubric.captions.all(), values, strict=True)
    )
