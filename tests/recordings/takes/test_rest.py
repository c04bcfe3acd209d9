"""After several takes in a row a rest is worth more than another take."""

from datetime import timedelta

from django.utils import timezone

from recordings.takes.rest import rest_after
from tests.recordings.conftest import plain_take


def recorded(entry, requirement, *minutes_ago: float):
    return [
        plain_take(entry, requirement, minutes_ago=m, sha256=f"{n:064}") for n, m in enumerate(minutes_ago)
    ]


def test_four_in_a_row(entry, requirement):
    takes = recorded(entry, requirement, 30, 20, 10, 2)
    assert rest_after(takes, at=timezone.now()) == 4


def test_three_are_not_many(entry, requirement):
    assert rest_after(recorded(entry, requirement, 20, 10, 2), at=timezone.now()) is None


def test_takes_of_yesterday_do_not_count(entry, requirement):
    takes = recorded(entry, requirement, 1500, 1490, 10, 2)
    assert rest_after(takes, at=timezone.now()) is None


def test_it_is_over_when_the_rest_was_taken(entry, requirement):
    takes = recorded(entry, requirement, 30, 20, 10, 2)
    assert rest_after(takes, at=timezone.now() + timedelta(hours=1)) is None


def test_no_take_no_rest():
    assert rest_after([], at=timezone.now()) is None
