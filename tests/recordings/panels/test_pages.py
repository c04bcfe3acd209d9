"""The pages of a panel: set up by a director, heard and marked by its listeners."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from recordings.models import Panel, PanelMark
from studio.models import Consent

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(sheets_of, third_teacher):
    return sheets_of(third_teacher)[0]


@pytest.fixture
def url(panel, sheet):
    return reverse("panel_sheet", args=[panel.pk, sheet.panel_take.code])


def marks(rubric, *values):
    pairs = zip(rubric.captions.all(), values, strict=True)
    return {f"mark-{caption.pk}": value for caption, value in pairs}


def test_a_director_sets_one_up(as_user, director, takes, audition, rubric, listeners):
    address = reverse("panel_add", args=[audition.pk])
    page = as_user(director).get(address)
    assert "3 takes of this audition may be heard" in page.text
    sent = {"name": "Mock", "group": "", "rubric": rubric.pk, "listeners": [user.pk for user in listeners]}
    answer = as_user(director).post(address, sent)
    panel = Panel.objects.get()
    assert answer.url == reverse("panel_detail", args=[panel.pk])
    assert panel.takes.count() == 3
    assert not panel.measurements_shown
    page = as_user(director).get(answer.url).text
    assert "0 of 3" in page
    assert "Leonora Rothenfels" not in page


def test_without_a_take_none_is_set_up(as_user, director, audition, rubric, entry):
    address = reverse("panel_add", args=[audition.pk])
    page = as_user(director).post(address, {"name": "Mock", "group": "", "rubric": rubric.pk})
    assert "no take here that a panel may hear" in page.text
    assert "no guardian has agreed" in page.text
    assert not Panel.objects.exists()


def test_who_gets_in(as_user, panel, director, student_user, guardian, other_guardian, teacher, url):
    listen = reverse("panel_listen", args=[panel.pk])
    assert as_user(director).get(listen).status_code == 403
    assert as_user(teacher).get(listen).status_code == 200
    for stranger in (student_user, guardian, other_guardian):
        for address in (listen, url, f"{url}sound", reverse("panel_detail", args=[panel.pk])):
            assert as_user(stranger).get(address).status_code == 404
    assert as_user(None).get(url).status_code == 302


def test_who_teaches_here_no_longer_hears_no_panel(as_user, third_teacher, panel, url):
    browser = as_user(third_teacher)
    assert browser.get(url).status_code == 200
    third_teacher.roles.all().delete()
    assert browser.get(url).status_code == 404
    assert browser.get(f"{url}sound").status_code == 404


def test_a_take_not_dealt_to_a_listener_is_no_page(as_user, panel, takes, teacher):
    own = panel.takes.get(take=takes[0])
    address = reverse("panel_sheet", args=[panel.pk, own.code])
    assert as_user(teacher).get(address).status_code == 404
    assert as_user(teacher).get(f"{address}sound").status_code == 404


def test_marks_are_saved_and_the_next_take_comes(as_user, third_teacher, url, rubric, sheets_of, panel):
    browser = as_user(third_teacher)
    answer = browser.post(url, {**marks(rubric, 7, 8, 6), "remark": "Warm tone."})
    assert answer.url == reverse("panel_sheet", args=[panel.pk, sheets_of(third_teacher)[1].panel_take.code])
    sheet = sheets_of(third_teacher)[0]
    assert [mark.value for mark in sheet.marks.all()] == [7, 8, 6]
    assert sheet.remark == "Warm tone."
    page = browser.get(url).text
    assert 'value="8"' in page
    assert "Warm tone." in page
    assert "1 of 3 marked" in browser.get(reverse("panel_listen", args=[panel.pk])).text


def test_after_the_last_the_list_comes(as_user, third_teacher, panel, rubric, sheets_of):
    browser = as_user(third_teacher)
    for sheet in sheets_of(third_teacher):
        address = reverse("panel_sheet", args=[panel.pk, sheet.panel_take.code])
        answer = browser.post(address, marks(rubric, 5, 5, 5))
    assert answer.url == reverse("panel_listen", args=[panel.pk])


def test_between_two_steps_or_outside_the_range_is_told_and_the_rest_kept(
    as_user, third_teacher, url, rubric, sheet
):
    page = as_user(third_teacher).post(url, {**marks(rubric, 7.5, 11, 6), "remark": "Kept."})
    assert page.status_code == 422
    assert "Tone is marked in steps of 1." in page.text
    assert "Intonation goes from 1 to 10." in page.text
    assert 'value="7.5"' in page.text
    assert [mark.value for mark in sheet.marks.all()] == [6]
    sheet.refresh_from_db()
    assert sheet.remark == "Kept."


def test_by_script_the_same_is_told_as_json(as_user, third_teacher, url, rubric, sheet):
    tone, *_others = rubric.captions.all()
    browser = as_user(third_teacher)
    good = browser.post(url, marks(rubric, 7, "", ""), headers={"Accept": "application/json"}).json()
    assert good["errors"] == {}
    assert good["saved_at"]
    bad = browser.post(url, marks(rubric, "x", "", ""), headers={"Accept": "application/json"}).json()
    assert bad["errors"] == {str(tone.pk): "Please give this mark as a number."}
    assert sheet.marks.get().value == 7


def test_an_emptied_field_takes_the_mark_away(as_user, third_teacher, url, rubric, sheet):
    browser = as_user(third_teacher)
    browser.post(url, marks(rubric, 7, 8, 9))
    browser.post(url, marks(rubric, 7, "", 9))
    assert sheet.marks.count() == 2


def test_after_the_closing_nothing_is_saved(as_user, third_teacher, director, url, rubric, panel):
    browser = as_user(third_teacher)
    closing = reverse("panel_close", args=[panel.pk])
    assert as_user(director).post(closing, {"unmarked": "on"}).status_code == 302
    assert browser.post(url, marks(rubric, 7, 8, 9)).status_code == 302
    assert browser.get(f"{url}sound").status_code == 404
    assert not PanelMark.objects.exists()
    assert "closed" in browser.get(reverse("panel_listen", args=[panel.pk])).text


def test_one_press_does_not_close_it_while_sheets_are_unmarked(as_user, director, panel):
    browser, closing = as_user(director), reverse("panel_close", args=[panel.pk])
    page = browser.post(closing, follow=True)
    assert "tick that they may stay so" in page.text
    assert 'name="unmarked"' in page.text
    panel.refresh_from_db()
    assert panel.is_open
    assert "The panel is closed." in browser.post(closing, {"unmarked": "on"}, follow=True).text


def test_only_a_director_closes_and_only_by_post(as_user, teacher, director, panel):
    address = reverse("panel_close", args=[panel.pk])
    assert as_user(teacher).post(address).status_code == 403
    assert as_user(director).get(address).status_code == 405
    panel.refresh_from_db()
    assert panel.is_open


def test_an_agreement_taken_back_takes_the_take_out_at_once(as_user, panel, takes, third_teacher):
    code = panel.takes.get(take=takes[0]).code
    address = reverse("panel_sheet", args=[panel.pk, code])
    browser = as_user(third_teacher)
    assert browser.get(address).status_code == 200
    Consent.objects.get().withdraw()
    assert browser.get(address).status_code == 404
    assert browser.get(f"{address}sound").status_code == 404
    assert code not in browser.get(reverse("panel_listen", args=[panel.pk])).text


def test_measurements_only_where_the_director_wants_them(as_user, third_teacher, url, panel):
    browser = as_user(third_teacher)
    assert ">91<" not in browser.get(url).text
    Panel.objects.update(measurements_shown=True)
    assert ">91<" in browser.get(url).text


def test_the_list_asks_as_much_for_three_takes_as_for_one(as_user, third_teacher, panel):
    browser, address = as_user(third_teacher), reverse("panel_listen", args=[panel.pk])
    browser.get(address)

    def queries():
        with CaptureQueriesContext(connection) as caught:
            assert browser.get(address).status_code == 200
        return len(caught)

    many = queries()
    panel.takes.exclude(pk=panel.takes.first().pk).delete()
    assert queries() == many


def test_the_guardian_says_whether_panels_may_hear(as_user, guardian, student):
    address = reverse("consent", args=[student.pk])
    as_user(guardian).post(address, {"agreed": "on", "panels": "on"})
    standing = student.consents.get(withdrawn_at=None)
    assert standing.for_panels
    assert "mock audition" in standing.wording
    as_user(guardian).post(address, {"agreed": "on"})
    assert not student.consents.get(withdrawn_at=None).for_panels
