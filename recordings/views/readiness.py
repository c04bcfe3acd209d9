from itertools import groupby

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from recordings.readiness.filters import Filters
from recordings.readiness.kept import count_states
from recordings.readiness.rows import STATE_WORDS, Row, rows_for
from repertoire.paging import page_of
from studio.access import role_required
from studio.models import Role
from studio.request import SignedInRequest


@require_safe
@role_required(Role.DIRECTOR, Role.TEACHER)
def readiness(request: SignedInRequest) -> HttpResponse:
    """Who stands where: one row a student, one column a requirement, tables by instrument and level."""
    filters = Filters(request.GET, user=request.user)
    shown = page_of(request, filters.shown())
    context = {
        "filters": filters,
        "counts": _counts(filters),
        "address": filters.address(),
        "page": shown,
        "tables": _tables(rows_for(list(shown.object_list))),
    }
    return render(request, "recordings/readiness.html", context)


def _counts(filters: Filters) -> list[tuple]:
    """State, its words, how many cells are in it, and the address that shows only those."""
    return [
        (state, STATE_WORDS[state], count, filters.address(state=state))
        for state, count in count_states(filters.entries()).items()
    ]


def _tables(rows: list[Row]) -> list[dict]:
    """Rows that carry the same requirements, under their common head."""
    grouped = [list(group) for _, group in groupby(rows, key=_table_key)]
    return [
        {
            "entry": group[0].entry,
            "requirements": [cell.requirement for cell in group[0].cells],
            "rows": group,
        }
        for group in grouped
    ]


def _table_key(row: Row) -> tuple:
    return row.entry.audition_id, row.entry.instrument, row.entry.level
