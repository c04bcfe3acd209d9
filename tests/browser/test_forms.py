"""Forms: two columns where there is room, one on a phone; rare fields wait until they say something."""

import pytest
from playwright.sync_api import expect


@pytest.fixture
def change(sign_in, director, requirement):
    def opened(page):
        sign_in(page, director)
        page.goto(f"/requirements/{requirement.pk}/edit/")
        return page

    return opened


def place(page, label: str) -> dict[str, float]:
    return page.get_by_label(label, exact=True).bounding_box()


def test_two_fields_side_by_side_where_there_is_room(change, page):
    change(page)
    first, second = place(page, "From bar"), place(page, "To bar")
    assert first["y"] == pytest.approx(second["y"], abs=1)
    assert second["x"] > first["x"] + first["width"]


def test_one_below_the_other_on_a_phone(change, phone):
    change(phone)
    first, second = place(phone, "From bar"), place(phone, "To bar")
    assert second["y"] > first["y"] + first["height"]
    assert second["x"] == first["x"]


def test_rare_fields_wait_under_more(change, page):
    change(page)
    cut = page.get_by_label("A cut: leave out bars")
    expect(cut).to_be_hidden()
    page.get_by_text("More", exact=True).click()
    expect(cut).to_be_visible()


def test_a_mistake_in_a_rare_field_is_seen_at_once(change, page):
    change(page)
    page.get_by_text("More", exact=True).click()
    page.get_by_label("A cut: leave out bars").fill("900-901")
    page.get_by_role("button", name="Save").click()
    expect(page.locator("details .errorlist")).to_be_visible()
    expect(page.get_by_label("A cut: leave out bars")).to_have_value("900-901")


def test_a_rare_field_in_use_is_open(change, page, requirement):
    requirement.may_be_stopped = True
    requirement.save()
    change(page)
    expect(page.get_by_label("The judges may stop the student anywhere")).to_be_checked()
    expect(page.get_by_label("The judges may stop the student anywhere")).to_be_visible()


def test_what_is_usual_keeps_the_rest_closed(sign_in, director, page):
    sign_in(page, director)
    page.goto("/music/scales/new/")
    expect(page.get_by_label("Rhythm")).to_be_hidden()
    expect(page.get_by_label("Scale of")).to_be_visible()
