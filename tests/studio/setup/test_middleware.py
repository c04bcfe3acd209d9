"""What browsers may keep of the pages."""


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
