"""What browsers may keep of the pages, and how much may be sent to them."""

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile


def test_pages_of_a_signed_in_person_are_not_kept(director, student, as_user):
    for address in ("/students/", f"/students/{student.pk}/edit/", "/no-such-page/"):
        assert as_user(director).get(address)["Cache-Control"] == "private, no-store"


def test_what_says_itself_how_long_it_lasts_keeps_its_word(director, excerpt, as_user):
    drawing = as_user(director).get(f"/music/{excerpt.pk}/score.svg")
    assert drawing.status_code == 200
    assert "no-store" not in drawing["Cache-Control"]
    assert "max-age" in drawing["Cache-Control"]


def test_the_health_page_stays_as_it_is_for_a_visitor(client, db):
    assert client.get("/healthz")["Cache-Control"] != "private, no-store"


@pytest.fixture
def large():
    """A little more than any page without files takes."""
    return SimpleUploadedFile("long.wav", b"x" * (settings.SMALL_BODY_BYTES + 1))


def written(folder) -> list:
    return [path for path in folder.rglob("*") if path.is_file()]


@pytest.mark.parametrize(
    "address", ["/accounts/login/", "/accounts/password/reset/", "/students/new/", "/music/new/"]
)
def test_a_stranger_cannot_fill_the_disk(client, studio, large, address, settings):
    before = written(settings.FILE_UPLOAD_TEMP_DIR)
    assert client.post(address, {"login": "x", "file": large}).status_code == 413
    assert written(settings.FILE_UPLOAD_TEMP_DIR) == before


def test_who_is_signed_in_sends_large_bodies_only_where_files_are_taken(
    director, student_user, as_user, large
):
    assert as_user(director).post("/students/new/", {"file": large}).status_code == 413
    assert as_user(director).post("/music/new/", {"file": large}).status_code == 200


def test_a_length_that_is_no_number_is_refused(client, studio):
    assert client.generic("POST", "/accounts/login/", b"", CONTENT_LENGTH="many").status_code == 400
