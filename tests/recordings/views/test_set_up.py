import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from studio.models import Audition, Consent, Requirement
from tests.recordings.readiness.test_rows import crowd


def words(response) -> str:
    return response.content.decode()


@pytest.fixture
def addresses(season, audition) -> list[str]:
    return [f"/seasons/{season.pk}/set-up/", f"/auditions/{audition.pk}/set-up/"]


def test_works(as_user, director, addresses, entry, requirement):
    for address in addresses:
        page = words(as_user(director).get(address))
        assert "1 first take is still to come." in page
        assert "Nothing is missing or odd." in page
        assert "0 of 1" in page


def test_a_season_names_the_audition_of_the_next_step(as_user, director, season, audition):
    page = words(as_user(director).get(f"/seasons/{season.pk}/set-up/"))
    assert (
        f'<a href="/auditions/{audition.pk}/set-up/">Youth orchestra</a>: Set what is to be played.' in page
    )


def test_an_empty_season(as_user, director, season):
    page = words(as_user(director).get(f"/seasons/{season.pk}/set-up/"))
    assert "Add the first audition of this season." in page
    assert "No audition in this season yet." in page


@pytest.mark.parametrize("person", ["teacher", "student_user", "guardian"])
def test_for_directors_only(request, as_user, person, addresses, entry):
    client = as_user(request.getfixturevalue(person))
    assert {client.get(address).status_code for address in addresses} == {403}


def test_anonymous_and_unknown(as_user, director, addresses):
    assert {as_user(None).get(address).status_code for address in addresses} == {302}
    unknown = ["/seasons/999/set-up/", "/auditions/999/set-up/"]
    assert {as_user(director).get(address).status_code for address in unknown} == {404}


def test_only_for_reading(as_user, director, addresses):
    assert {as_user(director).post(address).status_code for address in addresses} == {405}


def test_the_pages_of_season_and_audition_lead_here(as_user, director, teacher, season, audition):
    for plain, address in (
        (f"/seasons/{season.pk}/", f"/seasons/{season.pk}/set-up/"),
        (f"/auditions/{audition.pk}/", f"/auditions/{audition.pk}/set-up/"),
    ):
        assert f'href="{address}"' in words(as_user(director).get(plain))
        assert f'href="{address}"' not in words(as_user(teacher).get(plain))


def test_one_kind_of_oddity_alone(as_user, director, addresses, entry, requirement):
    Consent.objects.get().withdraw()
    Requirement.objects.update(low_bpm=96, high_bpm=96)
    for address in addresses:
        page = words(as_user(director).get(f"{address}?about=agreement"))
        assert "Mira Tannhof cannot hand in yet" in page
        assert "nobody plays that exactly" not in page
        for everything in ("", "?about=nonsense", "?about=teacher"):
            page = words(as_user(director).get(address + everything))
            assert "Mira Tannhof cannot hand in yet" in page
            assert "nobody plays that exactly" in page


def test_all_lists_are_paged(as_user, director, season, audition, requirement, teacher, monkeypatch):
    monkeypatch.setattr("repertoire.paging.PAGE_SIZE", 2)
    crowd(3, audition, requirement, teacher)
    teacher.roles.all().delete()
    for number in range(2):
        Audition.objects.create(
            season=season, name=f"Extra {number}", held_on=audition.held_on, closes_at=audition.closes_at
        )
    client, address = as_user(director), f"/seasons/{season.pk}/set-up/"
    first, second = words(client.get(f"{address}?about=teacher")), words(client.get(f"{address}?page=2"))
    assert "Student 1 has no teacher" in first
    assert "Student 2 has no teacher" not in first
    assert "about=teacher&amp;odd=2" in first
    assert "Extra 1" not in first
    assert "Extra 1" in second
    assert "Student 2 has no teacher" in words(client.get(f"{address}?odd=2"))


def test_the_number_of_queries_does_not_grow(as_user, director, addresses, audition, requirement, teacher):
    client = as_user(director)
    counts: dict[str, list[int]] = {address: [] for address in addresses}
    for more in (3, 9):
        crowd(more, audition, requirement, teacher)
        for address in addresses:
            with CaptureQueriesContext(connection) as queries:
                assert client.get(address).status_code == 200
            counts[address].append(len(queries))
    assert all(few == many <= 12 for few, many in counts.values())
