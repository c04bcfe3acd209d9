"""Two takes in the browser: the same bars of the one, then of the other, and the music follows."""

import pytest
from django.core.files.base import ContentFile
from django.urls import reverse
from playwright.sync_api import expect

from recordings.models import Analysis
from tests.recordings.conftest import plain_take
from tests.recordings.sounds import tone, write_sound
from tests.recordings.takes.test_side_by_side import played

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def two(entry, requirement, tmp_path):
    content = write_sound(tmp_path / "take.wav", tone(6.0)).read_bytes()
    for k in (2, 1):
        take = plain_take(entry, requirement, minutes_ago=k, sha256=str(k) * 64)
        take.sound, take.size = ContentFile(content, name="take"), len(content)
        take.save()
        bars = played(("1", 1, 0.0, 1.0), ("2", 1, 1.0, 3.0), ("3", 1, 3.0, 6.0))
        Analysis.objects.filter(take=take).update(state="done", result={"bars": bars})


def test_the_same_bars_one_after_the_other(two, phone, sign_in, student_user, entry, requirement):
    phone.add_init_script("""
      window.order = [];
      document.addEventListener("play", (event) => window.order.push(event.target.dataset.take), true);
    """)
    sign_in(phone, student_user)
    phone.goto(reverse("takes_compare", args=[entry.pk, requirement.pk]))
    phone.get_by_label("From bar").select_option(label="2")
    phone.get_by_label("To bar").select_option(label="2")
    both = phone.get_by_role("button", name="Hear both")
    both.click()
    expect(phone.locator("[data-pair][aria-current]")).to_contain_text("Bar 2")
    expect(phone.locator("svg [data-sounding-bar]")).to_have_count(1)
    expect(both).to_be_visible()
    assert phone.evaluate("window.order") == ["one", "other"]
    ends = phone.evaluate("[...document.querySelectorAll('audio')].map((audio) => audio.currentTime)")
    assert all(2.9 < end < 5.0 for end in ends), ends
    expect(phone.locator("svg [data-sounding-bar]")).to_have_count(0)
