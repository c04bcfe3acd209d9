"""Blind is blind: the bytes of every answer a listener can get hold no name, address, file name or tag."""

import pytest
from django.urls import reverse

from recordings.models import Take
from recordings.panels import sounds
from recordings.panels.draw import deal
from studio.models import Role
from tests.conftest import make_person
from tests.recordings.panels.conftest import FILE_NAME, TAGS

pytestmark = pytest.mark.django_db


@pytest.fixture
def telling(takes, panel):
    """Everything that would give a player away, as bytes; words of a name also by themselves."""
    told = {FILE_NAME, *TAGS.values()}
    for take in takes:
        student = take.entry.student
        told |= {student.name, *student.name.split(), student.email, student.guardian_email, take.sha256}
        told |= {take.sound.name, take.sound.name.rpartition("/")[2], take.original_name}
        told |= {reverse("take_detail", args=[take.pk]), reverse("student_page", args=[student.pk])}
        told |= {reverse("take_sound", args=[take.pk])}
    return {word.encode() for word in told if word}


def everything(response) -> bytes:
    body = b"".join(response.streaming_content) if response.streaming else response.content
    return body + repr(sorted(response.headers.items())).encode()


def answers(browser, panel, sheets, rubric):
    """Every answer of every address of the panel that a listener gets anything but a refusal from."""
    listen = reverse("panel_listen", args=[panel.pk])
    yield browser.get(reverse("panel_list"))
    yield browser.get(listen)
    yield browser.get(reverse("panel_detail", args=[panel.pk]), follow=True)
    for sheet in sheets:
        page = reverse("panel_sheet", args=[panel.pk, sheet.panel_take.code])
        sent = {f"mark-{caption.pk}": "7" for caption in rubric.captions.all()}
        yield browser.get(page)
        yield browser.post(page, {f"mark-{rubric.captions.first().pk}": "99"})
        yield browser.post(page, sent, headers={"Accept": "application/json"})
        yield browser.post(page, sent, follow=True)
        yield browser.get(f"{page}sound")
        yield browser.get(f"{page}sound", headers={"Range": "bytes=0-999"})
        yield browser.get(f"{page}sound", headers={"Range": "bytes=99999999-"})
        yield browser.head(f"{page}sound")


@pytest.fixture
def guest(panel):
    person = make_person("Ilse Ferber", Role.GUEST)
    panel.listeners.create(user=person, invited_name=person.name)
    deal(panel)
    return person


@pytest.mark.parametrize("measured", [False, True])
@pytest.mark.parametrize("who", ["third_teacher", "guest"])
def test_no_answer_tells_who_plays(request, as_user, panel, who, sheets_of, rubric, telling, measured):
    listener = request.getfixturevalue(who)
    panel.measurements_shown = measured
    panel.save()
    for row in panel.takes.all():
        assert sounds.clean(row.pk)
    found = {}
    seen = 0
    for response in answers(as_user(listener), panel, sheets_of(listener), rubric):
        seen += 1
        assert response.status_code in (200, 206, 416, 422), response.request["PATH_INFO"]
        content = everything(response)
        if hits := {word for word in telling if word in content}:
            found[response.request["PATH_INFO"]] = hits
    assert seen == 3 + 8 * 3
    assert not found


def test_the_search_would_find_it(as_user, director, takes, telling, teacher):
    """The same look at the take's own page and sound."""
    page = everything(as_user(director).get(reverse("take_detail", args=[takes[0].pk])))
    sound = everything(as_user(teacher).get(reverse("take_sound", args=[takes[0].pk])))
    assert b"Tannhof" in telling
    assert {word for word in telling if word in page}
    assert {word for word in telling if word in sound} >= {tag.encode() for tag in TAGS.values()}


def test_the_sound_comes_in_ranges_and_into_no_cache(as_user, panel, third_teacher, sheets_of):
    [sheet, *_others] = sheets_of(third_teacher)
    address = reverse("panel_sound", args=[panel.pk, sheet.panel_take.code])
    browser = as_user(third_teacher)
    assert browser.get(address).status_code == 404
    sounds.clean(sheet.panel_take_id)
    sheet.panel_take.refresh_from_db()
    whole = browser.get(address)
    content = b"".join(whole.streaming_content)
    assert content == sheet.panel_take.sound.read()
    assert whole["Cache-Control"] == "private, no-store"
    assert "ETag" not in whole
    assert whole["Content-Disposition"] == "inline"
    part = browser.get(address, headers={"Range": "bytes=10-19"})
    assert (part.status_code, b"".join(part.streaming_content)) == (206, content[10:20])
    assert Take.objects.get(pk=sheet.panel_take.take_id).media_type != whole["Content-Type"]
