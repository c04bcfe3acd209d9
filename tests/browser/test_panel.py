"""A listener's sheet on a phone: saved as it is written, and again once a lost connection is back."""

from playwright.sync_api import expect

PHONE = {"width": 360, "height": 740, "is_mobile": True, "has_touch": True}


def test_what_is_marked_without_a_connection_arrives_later(enter):
    page = enter("teacher", **PHONE)
    page.goto("/panels/1/listen/")
    page.locator(".panel-takes .code").last.click()
    page.wait_for_url("**/listen/*/")
    mark, state = page.get_by_label("Tone"), page.locator("#save-state")
    mark.fill("7")
    expect(state).to_contain_text("Saved at")
    page.context.set_offline(True)
    mark.fill("8")
    page.get_by_label("Remark").fill("Sing the last line.")
    expect(state).to_contain_text("No connection")
    page.context.set_offline(False)
    expect(state).to_contain_text("Saved at")
    page.reload()
    expect(mark).to_have_value("8")
    expect(page.get_by_label("Remark")).to_have_value("Sing the last line.")
    mark.fill("8.5")
    expect(page.get_by_text("Tone is marked in steps of 1.")).to_be_visible()
