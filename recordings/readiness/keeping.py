"""Keeps every `KeptCell` as its takes, answers and choices are, in the transaction that changes these.

A row is held before its takes are read, so that of two changes at once the second sees the first.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator

from django.db import transaction
from django.db.models import Q, QuerySet

from recordings.models import KeptCell, Mark, Take, TakeToSend
from recordings.readiness.kept import facts
from recordings.takes.to_send import Asked, TakeFacts, lowest_percent
from studio.models import Audition, Entry, Requirement
from studio.models.entry import with_more_time

CellKey = tuple[int, int]  # entry and requirement
# Entries or cells: SQLite takes no condition of a thousand parts.
AT_ONCE = 200
FIELDS = [field.name for field in KeptCell._meta.fields if field.name not in ("id", "entry", "requirement")]


@transaction.atomic
def keep(cells: QuerySet[KeptCell]) -> int:
    """Make these rows anew from their takes; how many said something else before."""
    held = list(cells.order_by("pk").select_for_update(no_key=True, of=("self",)))
    takes, chosen, asked = _takes_of(held), _chosen_of(held), _asked_of(held)
    changed = [cell for cell in held if _put(cell, facts_of(cell, takes, chosen, asked))]
    KeptCell.objects.bulk_create(
        changed, 500, update_conflicts=True, unique_fields=["entry", "requirement"], update_fields=FIELDS
    )
    return len(changed)


@transaction.atomic
def keep_of(keys: Iterable[CellKey]) -> None:
    """The same for cells by entry and requirement; one no entry carries is passed over."""
    wanted = sorted(set(keys))
    if len(wanted) <= AT_ONCE:
        keep(_cells(wanted))
        return
    found = [pk for some in _batches(wanted) for pk in _cells(some).values_list("pk", flat=True)]
    # In the one order in which all hold them.
    for some in _batches(sorted(found)):
        keep(KeptCell.objects.filter(pk__in=some))


def _cells(keys: Iterable[CellKey]) -> QuerySet[KeptCell]:
    wanted = Q(pk__in=[])
    for entry, requirement in keys:
        wanted |= Q(entry=entry, requirement=requirement)
    return KeptCell.objects.filter(wanted)


@transaction.atomic
def lay_out(auditions: Collection[int]) -> int:
    """A row for each requirement an entry of these auditions carries, and no other; how many were amiss."""
    # Whoever enters students and whoever sets requirements at the same time wait for each other.
    held = Audition.objects.filter(pk__in=auditions).order_by("pk").select_for_update(no_key=True)
    list(held.values_list("pk"))
    carried = set(_carried(auditions))
    there = KeptCell.objects.filter(entry__audition__in=auditions)
    known = {(entry, requirement): pk for pk, entry, requirement in there.values_list("pk", *_KEY)}
    gone = [pk for key, pk in known.items() if key not in carried]
    KeptCell.objects.filter(pk__in=gone).delete()
    new = [KeptCell(entry_id=entry, requirement_id=asked) for entry, asked in sorted(carried - known.keys())]
    KeptCell.objects.bulk_create(new, batch_size=500)
    entries = {cell.entry_id for cell in new}
    for some in _batches(sorted(entries)):
        with_takes = Take.objects.filter(entry__in=some).values("entry")
        keep(KeptCell.objects.filter(entry__in=with_takes))
    return len(new) + len(gone)


def rebuild() -> int:
    """Every row from the beginning, in batches of their own transaction; how many were missing or wrong."""
    wrong = 0
    for audition in Audition.objects.order_by("pk").values_list("pk", flat=True):
        wrong += lay_out([audition])
        entries = Entry.objects.filter(audition=audition).order_by("pk").values_list("pk", flat=True)
        for some in _batches(list(entries)):
            wrong += keep(KeptCell.objects.filter(entry__in=some))
    return wrong


def facts_of(cell: KeptCell, takes: dict, chosen: dict, asked: dict) -> dict:
    key = cell.entry_id, cell.requirement_id
    return facts(takes[key], asked[key], chosen=chosen.get(key))


_KEY = ("entry_id", "requirement_id")


def _carried(auditions: Collection[int]) -> Iterator[CellKey]:
    group = ("audition", "instrument", "level")
    asked: dict[tuple, list[int]] = defaultdict(list)
    wanted = Requirement.objects.filter(audition__in=auditions).order_by()
    for pk, *key in wanted.values_list("pk", *group):
        asked[tuple(key)].append(pk)
    for pk, *key in Entry.objects.filter(audition__in=auditions).order_by().values_list("pk", *group):
        yield from ((pk, requirement) for requirement in asked[tuple(key)])


def _put(cell: KeptCell, found: dict) -> bool:
    """Whether anything of the row had to be changed."""
    new = {name: value for name, value in found.items() if getattr(cell, name) != value}
    for name, value in new.items():
        setattr(cell, name, value)
    return bool(new)


def _batches(rows: list) -> Iterator[list]:
    return (rows[start : start + AT_ONCE] for start in range(0, len(rows), AT_ONCE))


def _takes_of(cells: list[KeptCell]) -> dict[CellKey, list[TakeFacts]]:
    """By entry and requirement, the latest first."""
    takes = Take.objects.filter(_of(cells)).order_by("-uploaded_at", "-pk")
    marks = _marks_of(takes)
    found: dict[CellKey, list[TakeFacts]] = defaultdict(list)
    rows = takes.values_list(
        *_KEY, "pk", "uploaded_at", "hear_anyway_at", "analysis__state", "analysis__complete",
        "analysis__metronome_bpm", "analysis__right_share", "analysis__unusable", "review__state",
        "review__again",
    )  # fmt: skip
    for entry, requirement, pk, at, anyway, state, complete, bpm, right, unusable, answer, again in rows:
        released = answer == "released"
        fit = not again if released else not unusable or anyway is not None
        found[entry, requirement].append(
            TakeFacts(
                pk=pk,
                at=at,
                counts=fit,
                measured=state if state in KeptCell.MEASURED else "",
                complete=complete,
                bpm=bpm,
                right=right,
                answer=answer if answer in (KeptCell.RELEASED, KeptCell.WITHDRAWN) else "",
                lowest_percent=lowest_percent(marks.get(pk, ())),
            )
        )
    return found


def _of(cells: list[KeptCell]) -> Q:
    """Of a few cells exactly theirs, of many all of their entries."""
    if len(cells) > AT_ONCE or len({cell.entry_id for cell in cells}) > 1:
        return Q(entry__in={cell.entry_id for cell in cells})
    wanted = Q(entry__in={cell.entry_id for cell in cells})
    return wanted & Q(requirement__in=[cell.requirement_id for cell in cells])


def _marks_of(takes: QuerySet[Take]) -> dict[int, list[tuple]]:
    found: dict[int, list[tuple]] = defaultdict(list)
    given = Mark.objects.filter(review__take__in=takes.order_by().values("pk"), review__state="released")
    rows = given.order_by().values_list("review__take", "value", "caption__high")
    for take, value, high in rows:
        found[take].append((value, high))
    return found


def _chosen_of(cells: list[KeptCell]) -> dict[CellKey, int]:
    """A recording that stands for all music is judged only by what it was measured against."""
    rows = TakeToSend.objects.filter(_of(cells))
    return {(entry, asked): take for entry, asked, take in rows.values_list(*_KEY, "take")}


def _asked_of(cells: list[KeptCell]) -> dict[CellKey, Asked]:
    rows = KeptCell.objects.filter(pk__in=[cell.pk for cell in cells])
    tempo = ("requirement__low_bpm", "requirement__high_bpm")
    columns = rows.values_list(*_KEY, *tempo, "entry__audition__closes_at", "entry__extended_until")
    return {
        (entry, asked): Asked(low, high, with_more_time(closes, extended))
        for entry, asked, low, high, closes, extended in columns
    }
