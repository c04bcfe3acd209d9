import contextlib
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from recordings.models import Take
from recordings.upload import at_once

JSON = {"HTTP_ACCEPT": "application/json"}


@pytest.fixture
def url(entry, requirement):
    return reverse("take_upload", args=[entry.pk, requirement.pk])


def upload(client, url, content: bytes, *, name: str = "take.wav", **headers):
    return client.post(url, {"sound": SimpleUploadedFile(name, content)}, **headers)


def test_works_and_leads_to_the_take(as_user, student_user, url, wav):
    response = upload(as_user(student_user), url, wav.read_bytes())
    take = Take.objects.get()
    assert response.status_code == 302
    assert response.url == reverse("take_detail", args=[take.pk])
    assert take.uploaded_by == student_user
    assert take.sound.read() == wav.read_bytes()


def test_a_script_gets_the_page_to_go_to(as_user, student_user, url, wav):
    response = upload(as_user(student_user), url, wav.read_bytes(), **JSON)
    assert response.status_code == 201
    assert response.json() == {"page": reverse("take_detail", args=[Take.objects.get().pk]), "is_new": True}


@pytest.mark.parametrize("person", ["guardian", "teacher", "director"])
def test_others_who_may_hand_in(request, as_user, person, url, wav):
    assert upload(as_user(request.getfixturevalue(person)), url, wav.read_bytes()).status_code == 302
    assert Take.objects.count() == 1


@pytest.mark.parametrize("person", ["other_teacher", "other_student_user", "other_guardian"])
def test_strangers(request, as_user, person, url, wav, other_student):
    assert upload(as_user(request.getfixturevalue(person)), url, wav.read_bytes()).status_code == 404
    assert not Take.objects.exists()


def test_anonymous(as_user, url, wav):
    response = upload(as_user(None), url, wav.read_bytes())
    assert response.status_code == 302
    assert "/accounts/login/" in response.url


def test_only_by_post(as_user, student_user, url):
    assert as_user(student_user).get(url).status_code == 405


def test_without_its_token_nothing_is_taken(student_user, url, wav):
    client = Client(enforce_csrf_checks=True)
    client.force_login(student_user)
    assert upload(client, url, wav.read_bytes()).status_code == 403
    assert not Take.objects.exists()


def test_with_the_token_of_the_page(student_user, url, wav, entry, requirement):
    client = Client(enforce_csrf_checks=True)
    client.force_login(student_user)
    page = client.get(reverse("requirement_takes", args=[entry.pk, requirement.pk]))
    token = page.context["csrf_token"]
    sound = SimpleUploadedFile("take.wav", wav.read_bytes())
    response = client.post(url, {"csrfmiddlewaretoken": str(token), "sound": sound})
    assert response.status_code == 302
    assert Take.objects.count() == 1


def test_the_same_file_twice(as_user, student_user, url, wav):
    client = as_user(student_user)
    upload(client, url, wav.read_bytes())
    response = upload(client, url, wav.read_bytes(), **JSON)
    take = Take.objects.get()
    assert response.status_code == 200
    assert response.json() == {"page": reverse("take_detail", args=[take.pk]), "is_new": False}
    page = client.get(response.json()["page"])
    assert "handed in this very file before" in page.content.decode()


def test_nothing_chosen(as_user, student_user, url):
    response = as_user(student_user).post(url)
    assert response.status_code == 422
    assert "choose the recording first" in response.content.decode()


def test_what_is_not_sound_is_shown_beside_the_field(as_user, student_user, url):
    response = upload(as_user(student_user), url, b"my homework", name="homework.pdf")
    assert response.status_code == 422
    assert 'id="sound-error"' in response.content.decode()
    assert "This file is not a recording" in response.content.decode()


def test_too_large_is_refused_by_what_the_browser_declares(as_user, student_user, url, settings):
    settings.TAKE_MAX_MB = 1
    response = upload(as_user(student_user), url, b"\0" * 1_500_000, **JSON)
    assert response.status_code == 413
    assert "larger than 1 MB" in response.json()["error"]
    assert not Take.objects.exists()
    assert list(settings.FILE_UPLOAD_TEMP_DIR.iterdir()) == []


def test_too_large_is_refused_by_counting(as_user, student_user, url, settings):
    """A little over the limit, within the allowance for the other fields: only counting finds it."""
    settings.TAKE_MAX_MB = 1
    response = upload(as_user(student_user), url, b"\0" * 1_050_000, **JSON)
    assert response.status_code == 413
    assert not Take.objects.exists()
    assert list(settings.FILE_UPLOAD_TEMP_DIR.iterdir()) == []


def test_the_temporary_file_does_not_stay(as_user, student_user, url, wav, settings):
    upload(as_user(student_user), url, wav.read_bytes())
    upload(as_user(student_user), url, b"homework")
    assert list(settings.FILE_UPLOAD_TEMP_DIR.iterdir()) == []


def test_after_the_closing_time(as_user, student_user, url, wav, audition):
    audition.closes_at = timezone.now() - timedelta(minutes=1)
    audition.save()
    response = upload(as_user(student_user), url, wav.read_bytes(), **JSON)
    assert response.status_code == 422
    assert "closed on" in response.json()["error"]


def test_without_consent(as_user, student_user, url, wav, student):
    student.consents.get().withdraw()
    response = upload(as_user(student_user), url, wav.read_bytes())
    assert response.status_code == 422
    assert "guardian has to agree" in response.content.decode()


def send_named(client, url, name: str, content: bytes):
    """Written out by hand: no client of a library would send such names."""
    head = f'--xx\r\nContent-Disposition: form-data; name="sound"; filename="{name}"\r\n\r\n'
    body = head.encode() + content + b"\r\n--xx--\r\n"
    return client.post(url, body, content_type="multipart/form-data; boundary=xx", **JSON)


@pytest.mark.parametrize("name", ["..", "a" * 1500 + ".wav"])
def test_a_name_that_cannot_be_read_gets_a_sentence(as_user, student_user, url, wav, name):
    response = send_named(as_user(student_user), url, name, wav.read_bytes())
    assert response.status_code == 400
    assert "short, plain name" in response.json()["error"]
    assert not Take.objects.exists()


@pytest.mark.parametrize("name", ["a" * 300 + ".wav", "take." + "b" * 250])
def test_a_long_name_is_no_hindrance(as_user, student_user, url, wav, name):
    assert send_named(as_user(student_user), url, name, wav.read_bytes()).status_code == 201


def test_one_persons_uploads_at_once_are_few_and_nobody_elses_wait(
    as_user, student_user, guardian, url, wav, monkeypatch
):
    """While as many of the student's are coming in as may, the next is refused before it is read."""
    with contextlib.ExitStack() as coming:
        for _ in range(at_once.OF_ONE_PERSON):
            coming.enter_context(at_once.coming_in(student_user))
        refused = upload(as_user(student_user), url, wav.read_bytes(), **JSON)
        assert refused.status_code == 429
        assert "still coming in" in refused.json()["error"]
        assert not Take.objects.exists()
        assert upload(as_user(guardian), url, wav.read_bytes()).status_code == 302
    assert upload(as_user(student_user), url, wav.read_bytes(), **JSON).status_code == 200


def test_where_too_many_are_looked_at_the_page_says_so(as_user, student_user, url, wav, monkeypatch):
    monkeypatch.setattr("recordings.upload.probe.LOOKS_AT_ONCE", 0)
    monkeypatch.setattr("recordings.upload.probe.WAIT_FOR_A_LOOK_S", 0)
    page = upload(as_user(student_user), url, wav.read_bytes())
    assert page.status_code == 429
    assert "send this one again in a minute" in page.content.decode()
