from django.test import Client
from django.test.utils import override_settings


def test_not_found(director, as_user):
    page = as_user(director).get("/nowhere/")
    assert page.status_code == 404
    assert "There is nothing here" in page.text
    assert "Linden Studio" in page.text


def test_forbidden(student_user, as_user):
    page = as_user(student_user).get("/students/")
    assert page.status_code == 403
    assert "not for your role" in page.text


def test_a_page_left_open_too_long(director):
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(director)
    page = browser.post("/seasons/new/", {"name": "x"})
    assert page.status_code == 403
    assert "once more" in page.text


def test_a_fault_of_ours_says_so_without_the_database(client, settings):
    client.raise_request_exception = False
    with override_settings(ROOT_URLCONF="tests.studio.faulty_urls"):
        page = client.get("/")
    assert page.status_code == 500
    assert "The fault is on our side" in page.text


def test_pages_carry_a_policy_that_forbids_what_is_written_into_a_page(director, as_user):
    policy = as_user(director).get("/seasons/").headers["Content-Security-Policy"]
    assert "'unsafe-inline'" not in policy
    assert "style-src 'self';" in policy
    assert "report-uri /content-reports/" in policy
    assert "frame-ancestors 'none'" in policy
