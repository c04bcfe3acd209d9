"""The results of a closed panel as a director reads them, and as a table to take along."""

from decimal import Decimal
from fractions import Fraction

from django.utils.translation import gettext as _

from recordings.models import Panel, PanelSheet
from recordings.panels.agreement import RELIABLE, TENTATIVE, Icc
from recordings.panels.outliers import outliers_of
from recordings.panels.results import EntryResult, Group, results_of
from repertoire.notation.numerals import plain_number
from repertoire.wording.instruments import instrument_name
from repertoire.wording.words import short_number
from studio.services.table_file import as_csv


def results_page(panel: Panel) -> dict:
    results = results_of(panel)
    seats = {seat.entry_id: seat for seat in panel.seats.select_related("entry__student")}
    return {
        "panel": panel,
        "groups": [
            {
                "group": group,
                "title": f"{instrument_name(group.instrument)}, {group.level}",
                "lines": [_line(entry, panel, results.out_of) for entry in group.entries],
                "agreement": agreement_words(group.alpha),
                "icc": icc_words(group.icc) if group.icc else "",
                "seats": sorted(
                    (seats[e.entry.pk] for e in group.entries if e.entry.pk in seats),
                    key=lambda seat: seat.position,
                ),
            }
            for group in results.groups
        ],
        "deciding": panel.rubric.deciding_captions,
        "outliers": outliers_of(results),
        "listener_count": len(results.listeners),
    }


def _line(entry: EntryResult, panel: Panel, out_of: Fraction) -> dict:
    return {
        "result": entry,
        "mean": rounded(entry.mean),
        "out_of": rounded(out_of * len(entry.takes)),
        "spread": rounded(entry.spread),
        "takes": [
            {
                "row": take.panel_take,
                "mean": rounded(take.mean),
                "count": len(take.totals),
                "remarks": take.remarks,
            }
            for take in entry.takes
        ],
    }


def rounded(number: Fraction | float | None) -> str:
    """With one decimal, in the reader's language."""
    return "" if number is None else short_number(round(float(number), 1))


def agreement_words(alpha: float | None) -> str:
    """What Krippendorff's limits make of it (Content Analysis, 2004, p. 241)."""
    if alpha is None:
        return _("There are too few takes marked by several listeners to say how far they agree.")
    if alpha >= RELIABLE:
        return _("The listeners agree well: the order can be relied on.")
    if alpha >= TENTATIVE:
        return _("The listeners agree in part: take the order as a first word.")
    return _("The listeners agree little with each other: look at the spread before you rely on the order.")


def icc_words(found: Icc) -> str:
    """In figures; below nought there is no agreement, and how far below says nothing."""
    if found.single < 0:
        return _("ICC below 0 over %(n)s takes: no agreement") % {"n": found.takes}
    return _("ICC of one listener %(single)s, of the mean %(mean)s, over %(n)s takes") % {
        "single": short_number(round(found.single, 2)),
        "mean": short_number(round(found.mean, 2)),
        "n": found.takes,
    }


def results_csv(panel: Panel) -> str:
    """A row a sheet, with the names; cells that a spreadsheet would run are defused."""
    captions = list(panel.rubric.captions.all())
    head = [_("Instrument"), _("Level"), _("Rank"), _("Student"), _("Code"), _("Music"), _("Listener")]
    rows = [[*map(str, head), *(caption.name for caption in captions), _("Total"), _("Remark")]]
    results = results_of(panel)
    sheets: dict[int, list[PanelSheet]] = {}
    every = PanelSheet.objects.filter(listener__panel=panel).prefetch_related("marks")
    for sheet in every.order_by("listener", "position"):
        sheets.setdefault(sheet.panel_take_id, []).append(sheet)
    for group in results.groups:
        for entry in group.entries:
            for take in entry.takes:
                for sheet in sheets.get(take.panel_take.pk, []):
                    total = take.totals.get(sheet.listener_id)
                    rows.append(
                        [
                            *_who(group, entry),
                            take.panel_take.code,
                            take.panel_take.take.requirement.excerpt.title,
                            results.listeners[sheet.listener_id].name,
                            *(_plain(sheet.values.get(caption.pk)) for caption in captions),
                            "" if total is None else plain_number(round(float(total), 2)),
                            sheet.remark,
                        ]
                    )
    return as_csv(rows)


def _who(group: Group, entry: EntryResult) -> list[str]:
    name = instrument_name(group.instrument)
    return [name, group.level, str(entry.rank or ""), entry.entry.student.name]


def _plain(mark: Decimal | None) -> str:
    return "" if mark is None else plain_number(mark)
