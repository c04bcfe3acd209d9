from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

from recordings.takes.sittings import sittings

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)


def takes_at(*minutes: int) -> list:
    return [SimpleNamespace(pk=pk, uploaded_at=NOON + timedelta(minutes=at)) for pk, at in enumerate(minutes)]


def grouped(*minutes: int) -> list[list[int]]:
    return [[take.pk for take in sitting.takes] for sitting in sittings(takes_at(*minutes))]


def test_no_takes_no_sitting():
    assert sittings([]) == []


def test_a_pause_of_45_minutes_belongs_to_the_sitting():
    assert grouped(0, 45) == [[1, 0]]


def test_a_longer_pause_starts_a_new_one():
    assert grouped(0, 46) == [[1], [0]]


def test_a_sitting_may_last_long_as_long_as_no_pause_does():
    assert grouped(0, 40, 80, 120, 200) == [[4], [3, 2, 1, 0]]


def test_any_order_comes_out_latest_first():
    assert grouped(80, 0, 40) == [[0, 2, 1]]


def test_a_sitting_began_with_its_first_take():
    assert sittings(takes_at(10, 0, 20))[0].began_at == NOON
