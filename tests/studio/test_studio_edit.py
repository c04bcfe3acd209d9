import pytest

from studio.models import Studio
from tests.studio.test_seasons import DIRECTOR_ONLY

GOOD = {"name": "Maple Studio", "time_zone": "Asia/Tokyo", "ready_percent": "80", "tuning_a_hz": "442"}
GOOD |= {"practice_days": "30"}


def test_who_changes(statuses):
    assert statuses("/studio/") == DIRECTOR_ONLY


def test_saving(director, as_user):
    assert as_user(director).post("/studio/", GOOD).url == "/studio/"
    studio = Studio.objects.get()
    assert (studio.name, studio.time_zone, studio.ready_percent) == ("Maple Studio", "Asia/Tokyo", 80)
    assert studio.tuning_a_hz == 442
    assert "Maple Studio" in as_user(director).get("/studio/").text


def test_the_first_save_makes_the_row(director, studio, as_user):
    studio.delete()
    as_user(director).post("/studio/", GOOD)
    as_user(director).post("/studio/", GOOD)
    assert Studio.objects.count() == 1


@pytest.mark.parametrize(
    "change",
    [
        {"time_zone": "Nowhere/Land"},
        {"ready_percent": "0"},
        {"ready_percent": "101"},
        {"name": ""},
        {"tuning_a_hz": "300"},
    ],
)
def test_bad_input(director, as_user, change):
    page = as_user(director).post("/studio/", {**GOOD, **change})
    assert list(page.context["form"].errors) == list(change)
    assert Studio.objects.get().name == "Linden Studio"
