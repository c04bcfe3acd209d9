"""Dates that are likely slips are told next to their field, before anybody is told a wrong deadline."""

from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from studio.models import Audition, Clinic, Requirement, Season
from tests.studio.test_requirements import good, url  # noqa: F401

MEANT = "Yes, I mean it"
STUDIOS_ZONE = ZoneInfo("Europe/Vienna")


def typed_at(moment) -> str:
    return timezone.localtime(moment, STUDIOS_ZONE).strftime("%Y-%m-%dT%H:%M")


def audition_of(closes_at, *, held_on=None) -> dict:
    held_on = held_on or timezone.localdate(closes_at, STUDIOS_ZONE)
    return {"name": "City", "kind": "live", "held_on": held_on.isoformat(), "closes_at": typed_at(closes_at)}


@pytest.fixture
def new(season):
    return f"/seasons/{season.pk}/auditions/new/"


def errors_of(page) -> dict:
    return page.context["form"].errors


def test_a_closing_time_of_another_year_is_refused(director, season, new, as_user):
    page = as_user(director).post(new, {**audition_of(timezone.now()), "closes_at": "2020-03-10T18:00"})
    assert "before the season begins" in errors_of(page)["closes_at"][0]
    assert "2020-03-10T18:00" in page.text
    assert MEANT not in page.text
    assert not Audition.objects.exists()


def test_a_closing_time_that_is_over_is_asked_about_and_taken_once_it_is_meant(
    director, season, new, as_user
):
    data = audition_of(timezone.now() - timedelta(days=2))
    page = as_user(director).post(new, data)
    assert "is over already" in errors_of(page)["closes_at"][0]
    assert MEANT in page.text
    assert not Audition.objects.exists()
    ticked = {**data, "held_on_meant": data["held_on"], "closes_at_meant": data["closes_at"]}
    assert as_user(director).post(new, ticked).status_code == 302
    assert Audition.objects.get().name == "City"


def test_a_tick_counts_only_for_the_value_it_stood_beside(director, season, new, as_user):
    data = audition_of(timezone.now() - timedelta(days=2))
    other = typed_at(timezone.now() - timedelta(days=3))
    page = as_user(director).post(new, {**data, "closes_at": other, "closes_at_meant": data["closes_at"]})
    assert "is over already" in errors_of(page)["closes_at"][0]


def test_a_tick_stays_while_another_field_is_put_right(director, season, new, as_user):
    data = audition_of(timezone.now() - timedelta(days=2))
    ticked = {**data, "name": "", "held_on_meant": data["held_on"], "closes_at_meant": data["closes_at"]}
    page = as_user(director).post(new, ticked)
    assert set(errors_of(page)) == {"name"}
    assert page.context["form"]["closes_at_meant"].value()


def test_closing_after_the_day_itself_is_refused(director, season, new, as_user):
    closes_at = timezone.now() + timedelta(days=20)
    held_on = timezone.localdate(closes_at, STUDIOS_ZONE) - timedelta(days=1)
    page = as_user(director).post(new, audition_of(closes_at, held_on=held_on))
    assert "after the audition itself" in errors_of(page)["closes_at"][0]


def test_an_audition_outside_the_season_is_asked_about(director, season, new, as_user):
    closes_at = timezone.now() + timedelta(days=30)
    late = season.ends_on + timedelta(days=1)
    page = as_user(director).post(new, audition_of(closes_at, held_on=late))
    assert list(errors_of(page)) == ["held_on"]
    assert "lies outside the season" in errors_of(page)["held_on"][0]
    ticked = {**audition_of(closes_at, held_on=late), "held_on_meant": late.isoformat()}
    assert as_user(director).post(new, ticked).status_code == 302


def test_an_old_audition_can_be_renamed_without_being_asked(director, audition, as_user):
    Audition.objects.update(
        closes_at=timezone.now().replace(microsecond=0, second=0) - timedelta(days=3),
        held_on=timezone.localdate(timezone=STUDIOS_ZONE) - timedelta(days=2),
    )
    audition.refresh_from_db()
    data = {**audition_of(audition.closes_at, held_on=audition.held_on), "name": "Renamed"}
    assert as_user(director).post(f"/auditions/{audition.pk}/edit/", data).status_code == 302
    assert Audition.objects.get().name == "Renamed"


def test_a_deadline_that_has_passed_is_asked_about(director, audition, url, good, as_user):  # noqa: F811
    past = typed_at(timezone.now() - timedelta(days=1))
    page = as_user(director).post(url, {**good, "due_at": past})
    assert list(errors_of(page)) == ["due_at"]
    assert "has passed already" in errors_of(page)["due_at"][0]
    assert as_user(director).post(url, {**good, "due_at": past, "due_at_meant": past}).status_code == 302
    assert Requirement.objects.exists()


def test_a_deadline_before_the_season_is_asked_about(director, audition, url, good, as_user):  # noqa: F811
    before = typed_at(timezone.now() - timedelta(days=40))
    page = as_user(director).post(url, {**good, "due_at": before})
    assert "before the season begins" in errors_of(page)["due_at"][0]


def test_a_season_that_is_over_is_asked_about(director, as_user):
    data = {"name": "Old", "starts_on": "2020-02-01", "ends_on": "2020-05-31", "keep_takes_days": "90"}
    page = as_user(director).post("/seasons/new/", data)
    assert "is over already" in errors_of(page)["ends_on"][0]
    assert as_user(director).post("/seasons/new/", {**data, "ends_on_meant": "2020-05-31"}).status_code == 302
    assert Season.objects.exists()


def test_a_season_longer_than_a_year_is_asked_about(director, as_user):
    data = {"name": "Long", "starts_on": "2031-02-01", "ends_on": "2041-05-31", "keep_takes_days": "90"}
    page = as_user(director).post("/seasons/new/", data)
    assert "longer than a year" in errors_of(page)["ends_on"][0]


def test_a_season_moved_away_from_its_auditions_is_asked_about(director, season, audition, as_user):
    ends_on = (audition.held_on - timedelta(days=1)).isoformat()
    data = {"name": "A", "starts_on": season.starts_on, "ends_on": ends_on, "keep_takes_days": "90"}
    page = as_user(director).post(f"/seasons/{season.pk}/edit/", data)
    assert "Youth orchestra" in errors_of(page)["ends_on"][0]


def test_a_clinic_in_the_past_is_asked_about(director, teacher, excerpt, entry, requirement, as_user):
    past = typed_at(timezone.now() - timedelta(days=1))
    data = {"held_at": past, "place": "Hall", "leader": teacher.pk, "for_all": "on", "notes": ""}
    new = f"/clinics/new/?excerpt={excerpt.pk}"
    page = as_user(director).post(new, data)
    assert "is over already" in errors_of(page)["held_at"][0]
    assert as_user(director).post(new, {**data, "held_at_meant": past}).status_code == 302
    assert Clinic.objects.exists()
