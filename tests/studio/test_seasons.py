from datetime import date, timedelta

import pytest

from studio.models import Season

STAFF_ONLY = {"director": 200, "teacher": 200, "student": 403, "guardian": 403, "anonymous": "sign in"}
DIRECTOR_ONLY = {**STAFF_ONLY, "teacher": 403}
GOOD = {"name": "Spring round", "starts_on": "2031-02-01", "ends_on": "2031-05-31", "keep_takes_days": "90"}


def test_who_sees_and_who_changes(statuses, season):
    assert statuses("/seasons/") == STAFF_ONLY
    assert statuses(f"/seasons/{season.pk}/") == STAFF_ONLY
    assert statuses("/seasons/new/") == DIRECTOR_ONLY
    assert statuses(f"/seasons/{season.pk}/edit/") == DIRECTOR_ONLY


def test_an_unknown_season_is_not_found(director, as_user):
    assert as_user(director).get("/seasons/999/").status_code == 404


def test_a_season_is_added(director, as_user):
    response = as_user(director).post("/seasons/new/", GOOD)
    season = Season.objects.get()
    assert response.url == f"/seasons/{season.pk}/"
    assert (season.starts_on, season.keep_takes_days) == (date(2031, 2, 1), 90)
    assert season.keep_takes_until == date(2031, 8, 29)


def test_a_teacher_cannot_add_by_post(teacher, as_user):
    assert as_user(teacher).post("/seasons/new/", GOOD).status_code == 403
    assert not Season.objects.exists()


def test_an_end_before_the_start_is_shown_beside_the_field_and_keeps_what_was_typed(director, as_user):
    page = as_user(director).post("/seasons/new/", {**GOOD, "ends_on": "2031-01-01"})
    assert page.status_code == 200
    assert page.context["form"].errors == {"ends_on": ["The season must end on or after the day it starts."]}
    assert 'value="Spring round"' in page.text
    assert 'value="2031-02-01"' in page.text


def test_takes_are_not_kept_for_ever(director, as_user):
    page = as_user(director).post("/seasons/new/", {**GOOD, "keep_takes_days": "2147483647"})
    assert "Ten years" in page.context["form"].errors["keep_takes_days"][0]


def test_a_season_is_changed_and_may_be_sent_twice(director, season, as_user):
    for _ in range(2):
        as_user(director).post(f"/seasons/{season.pk}/edit/", GOOD)
    assert Season.objects.get().name == "Spring round"


def test_the_same_season_sent_twice_is_one(director, as_user):
    browser = as_user(director)
    browser.post("/seasons/new/", GOOD)
    page = browser.post("/seasons/new/", GOOD)
    assert "already a season" in page.context["form"].errors["name"][0]
    assert Season.objects.count() == 1


@pytest.mark.parametrize("url", ["/seasons/", "/seasons/{pk}/"])
def test_the_queries_do_not_grow(director, season, audition, as_user, queries_of, url):
    browser, url = as_user(director), url.format(pk=season.pk)
    before = queries_of(browser, url)
    for number in range(12):
        later = season.starts_on + timedelta(days=number)
        Season.objects.create(name=f"Round {number}", starts_on=later, ends_on=later)
        season.auditions.create(name=f"Orchestra {number}", held_on=later, closes_at=f"{later}T12:00Z")
    assert queries_of(browser, url) == before


def test_the_list_is_paged(director, as_user):
    for number in range(26):
        Season.objects.create(name=f"R{number}", starts_on="2031-01-01", ends_on="2031-01-02")
    browser = as_user(director)
    assert len(browser.get("/seasons/").context["page"]) == 25
    assert "Page 1 of 2" in browser.get("/seasons/").text
    assert len(browser.get("/seasons/?page=2").context["page"]) == 1
    assert browser.get("/seasons/?page=nonsense").status_code == 200
