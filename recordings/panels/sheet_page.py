"""What stands on a listener's page for one take: nothing that tells who plays."""

from django.http import HttpRequest

from recordings.models import Analysis, Panel, PanelSheet
from recordings.panels.sheet import SheetForm, state_of
from repertoire.show.engraved import engraved_svg, likely_width

WIDEST_PX = 780  # what stands beside the form


def page_context(request: HttpRequest, panel: Panel, sheet: PanelSheet, form: SheetForm) -> dict:
    sheets = _own(sheet)
    place = next(number for number, other in enumerate(sheets) if other.pk == sheet.pk)
    requirement = sheet.panel_take.take.requirement
    return {
        "panel": panel,
        "sheet": sheet,
        "panel_take": sheet.panel_take,
        "requirement": requirement,
        "form": form,
        "number": place + 1,
        "count": len(sheets),
        "before": sheets[place - 1] if place else None,
        "after": sheets[place + 1] if place + 1 < len(sheets) else None,
        "measured": _measured(sheet) if panel.measurements_shown else None,
        "svg": engraved_svg(
            requirement.excerpt,
            min(likely_width(request.headers), WIDEST_PX),
            bars=requirement.bars,
            ribbon_room=False,
        ),
    }


def next_open(panel: Panel, sheet: PanelSheet) -> PanelSheet | None:
    """The next take after this one that still lacks a mark, from the first again after the last."""
    count = panel.rubric.captions.count()
    unmarked = [other for other in _own(sheet) if state_of(other, count) != "done" and other.pk != sheet.pk]
    later = [other for other in unmarked if other.position > sheet.position]
    return next(iter(later or unmarked), None)


def _own(sheet: PanelSheet) -> list[PanelSheet]:
    own = PanelSheet.objects.hearable().filter(listener=sheet.listener_id)
    return list(own.select_related("panel_take").prefetch_related("marks"))


def _measured(sheet: PanelSheet) -> Analysis | None:
    done = Analysis.objects.filter(take=sheet.panel_take.take_id, state=Analysis.State.DONE)
    return done.defer("result").first()
