"""The seating order: drafted from the ranks at the closing, then the director's own."""

from collections.abc import Mapping

from django.db import transaction

from recordings.models import Panel, Seat
from recordings.panels.results import results_of


def draft_seats(panel: Panel) -> None:
    """By rank within an instrument and level; who shares a rank, or has none, by code, which is by lot."""
    for group in results_of(panel).groups:
        Seat.objects.bulk_create(
            Seat(panel=panel, entry=result.entry, position=number)
            for number, result in enumerate(group.entries, start=1)
        )


@transaction.atomic
def move_seats(panel: Panel, wanted: Mapping[int, int]) -> None:
    """Put seats at the places the director typed, by seat id; the others close up."""
    groups: dict[tuple[str, str], list[Seat]] = {}
    for seat in panel.seats.select_for_update(of=("self",)).select_related("entry"):
        groups.setdefault((seat.entry.instrument, seat.entry.level), []).append(seat)
    for seats in groups.values():
        place = {seat.pk: wanted.get(seat.pk, seat.position) for seat in seats}
        seats.sort(key=lambda seat: _order(place[seat.pk], seat.position))
        for number, seat in enumerate(seats, start=1):
            seat.position = number
        Seat.objects.bulk_update(seats, ["position"])


def _order(place: int, before: int) -> tuple[int, int, int]:
    """Whoever moves up stands before whom it meets, whoever moves down behind."""
    moved = (place > before) - (place < before)
    return place, moved, before
