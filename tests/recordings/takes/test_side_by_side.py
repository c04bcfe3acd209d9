"""Two takes beside each other: the same bar of the same pass, whatever was left out or begun again."""

import pytest
from django.urls import reverse

from recordings.models import Analysis
from recordings.takes.side_by_side import bars_side_by_side
from tests.recordings.conftest import plain_take


def played(*bars) -> list[dict]:
    """Bars of an analysis as (label, pass, start, end), with "left" for an attempt that was begun again."""
    return [
        {
            "position": position,
            "measure_id": f"p1m{bar[0]}",
            "bar": bar[0],
            "pass": bar[1],
            "start_s": bar[2],
            "end_s": bar[3],
            "attempt_left": "left" in bar,
        }
        for position, bar in enumerate(bars)
    ]


def test_a_repeat_stands_beside_its_repeat_and_what_was_left_out_is_empty():
    one = played(("1", 1, 0.0, 2.0), ("2", 1, 2.0, 4.0), ("1", 2, 4.0, 6.0), ("2", 2, 6.0, 8.0))
    other = played(("1", 1, 1.0, 2.5), ("2", 1, 2.5, 4.5), ("3", 1, 4.5, 6.0))
    pairs = {(pair.bar, pair.pass_number): (pair.one, pair.other) for pair in bars_side_by_side(one, other)}
    assert pairs["1", 1] == ((0.0, 2.0), (1.0, 2.5))
    assert pairs["1", 2] == ((4.0, 6.0), None)
    assert pairs["3", 1] == (None, (4.5, 6.0))


def test_of_a_bar_begun_again_the_attempt_that_went_on_is_heard():
    one = played(("1", 1, 0.0, 1.0, "left"), ("1", 1, 3.0, 5.0))
    assert [pair.one for pair in bars_side_by_side(one, [])] == [(3.0, 5.0)]
    unheard = played(("1", 1, None, None))
    assert bars_side_by_side(unheard, unheard) == []


@pytest.fixture
def three(entry, requirement):
    takes = [plain_take(entry, requirement, minutes_ago=k, sha256=f"{k:064}") for k in (30, 20, 10)]
    for k, take in enumerate(takes):
        bars = played(("1", 1, 0.0, 2.0 - k / 4), ("2", 1, 2.0, 4.0))
        Analysis.objects.filter(take=take).update(state="done", result={"bars": bars})
    return takes


@pytest.mark.django_db
def test_the_first_and_the_latest_take_unless_others_are_chosen(
    three, as_user, student_user, entry, requirement
):
    page = reverse("takes_compare", args=[entry.pk, requirement.pk])
    client = as_user(student_user)
    assert page in client.get(reverse("requirement_takes", args=[entry.pk, requirement.pk])).content.decode()
    usual = client.get(page).context
    assert (usual["one"], usual["other"]) == (three[0], three[2])
    asked = client.get(page, {"one": three[2].pk, "other": three[1].pk}).context
    assert (asked["one"], asked["other"]) == (three[2], three[1])
    assert (asked["pairs"][0].one, asked["pairs"][0].other) == ((0.0, 1.5), (0.0, 1.75))
    nonsense = client.get(page, {"one": "x", "other": "99999"}).context
    assert (nonsense["one"], nonsense["other"]) == (three[0], three[2])


@pytest.mark.django_db
def test_a_take_that_cannot_be_followed_is_not_among_them(three, as_user, student_user, entry, requirement):
    Analysis.objects.filter(take__in=three[1:]).update(unusable="silent")
    page = reverse("takes_compare", args=[entry.pk, requirement.pk])
    assert as_user(student_user).get(page).status_code == 404
    shown = as_user(student_user).get(reverse("requirement_takes", args=[entry.pk, requirement.pk]))
    assert page not in shown.content.decode()
