"""A printed page beside the music: by content, without its secrets, for those who may see the music."""

import io

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from repertoire.library import pages
from repertoire.models import Attachment

pytestmark = pytest.mark.django_db
PDF = b"%PDF-1.4\n1 0 obj<<>>endobj\ntrailer<<>>\n%%EOF\n"
GPS_IFD, ORIENTATION = 0x8825, 0x0112


def photo(kind: str = "JPEG", size=(40, 20), **kwargs) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", size, "ivory").save(out, kind, **kwargs)
    return out.getvalue()


def photo_with_place() -> bytes:
    exif = Image.Exif()
    exif[ORIENTATION] = 6  # to be turned by a quarter
    exif[0x010F] = "SecretPhone"
    exif.get_ifd(GPS_IFD)[1] = "N"
    return photo(exif=exif, comment=b"SecretWords")


@pytest.fixture
def url(excerpt):
    return reverse("excerpt_pages", args=[excerpt.pk])


@pytest.fixture
def send(as_user, director, url):
    def sent(data: bytes, name: str = "page.pdf"):
        return as_user(director).post(url, {"page": SimpleUploadedFile(name, data)})

    return sent


@pytest.mark.parametrize(
    ("data", "kind"), [(PDF, "application/pdf"), (photo(), "image/jpeg"), (photo("PNG"), "image/png")]
)
def test_content_decides_and_headers_are_safe(send, as_user, director, data, kind):
    assert send(data, "page.exe").status_code == 302
    page = Attachment.objects.get()
    assert page.kind == kind
    answer = as_user(director).get(reverse("excerpt_page", args=[page.excerpt_id, page.pk]))
    body = b"".join(answer.streaming_content)
    assert answer["Content-Type"] == kind
    assert len(body) == page.size == int(answer["Content-Length"])
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Security-Policy"].startswith("sandbox")
    assert answer["Content-Disposition"].startswith("attachment" if kind.endswith("pdf") else "inline")
    assert "private" in answer["Cache-Control"]


def test_a_photo_loses_its_place_and_keeps_its_direction(send):
    send(photo_with_place(), "p.jpg")
    page = Attachment.objects.get()
    kept = page.file.open("rb").read()
    assert b"Secret" in photo_with_place()
    assert b"Secret" not in kept
    with Image.open(io.BytesIO(kept)) as picture:
        assert not picture.getexif()
        assert "comment" not in picture.info
        assert picture.size == (page.width_px, page.height_px) == (20, 40)


def test_large_photos_are_drawn_smaller(send):
    send(photo(size=(3600, 1800)), "p.jpg")
    page = Attachment.objects.get()
    assert (page.width_px, page.height_px) == (2400, 1200)


@pytest.mark.parametrize(
    ("data", "wording"),
    [
        (b"", "The file is empty."),
        (b"GIF89a....", "Please send a PDF"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "Please send a PDF"),
        (PDF[:20], "breaks off"),
        (photo()[:100], "damaged"),
        (b"\x89PNG\r\n\x1a\n" + b"x" * 200, "damaged"),
    ],
)
def test_other_files_are_refused_beside_the_field(send, data, wording):
    answer = send(data)
    assert answer.status_code == 200
    assert wording in answer.content.decode()
    assert not Attachment.objects.exists()


@pytest.mark.parametrize(("signal", "sentence"), [("SEGV", "damaged"), ("KILL", "send it once more")])
def test_a_crash_and_a_kill_are_distinguished(send, ended_by, signal, sentence):
    ended_by(signal)
    assert sentence in send(photo()).content.decode()


def test_a_picture_of_too_many_dots_is_refused(send, monkeypatch):
    huge = io.BytesIO()
    Image.new("1", (20_000, 4_000)).save(huge, "PNG")
    assert len(huge.getvalue()) < 100_000
    assert "50 million dots" in send(huge.getvalue()).content.decode()


def test_size_and_number_are_limited(send, monkeypatch):
    monkeypatch.setattr(pages, "MOST_MB", 0)
    assert "larger than" in send(PDF).content.decode()
    monkeypatch.setattr(pages, "MOST_MB", 15)
    monkeypatch.setattr(pages, "MOST_PAGES", 1)
    assert send(PDF).status_code == 302
    stored = len(default_storage.listdir("pages")[1] or default_storage.listdir("pages")[0])
    assert "At most 1 pages" in send(PDF).content.decode()
    assert Attachment.objects.count() == stored == 1


def test_students_see_it_beside_their_music(send, as_user, student, entry, requirement, other_student):
    send(photo(), "p.jpg")
    page = Attachment.objects.get()
    address = reverse("excerpt_page", args=[requirement.excerpt_id, page.pk])
    for shown in (
        reverse("requirement_takes", args=[entry.pk, requirement.pk]),
        reverse("excerpt_detail", args=[requirement.excerpt_id]),
    ):
        assert f'src="{address}"' in as_user(student.user).get(shown).content.decode()
    assert as_user(student.user).get(address).status_code == 200
    assert as_user(other_student.user).get(address).status_code == 404
    assert as_user(None).get(address).status_code == 302


def test_a_page_of_other_music_is_not_found(send, as_user, director, excerpt):
    send(PDF)
    page = Attachment.objects.get()
    other = excerpt
    other.pk, other.title = None, "Other"
    other.save(force_insert=True)
    client = as_user(director)
    assert client.get(reverse("excerpt_page", args=[other.pk, page.pk])).status_code == 404
    client.post(reverse("excerpt_page_remove", args=[other.pk, page.pk]))
    assert Attachment.objects.count() == 1


def test_removed_pages_are_gone_from_the_storage(
    send, as_user, director, excerpt, django_capture_on_commit_callbacks
):
    send(PDF)
    page = Attachment.objects.get()
    with django_capture_on_commit_callbacks(execute=True):
        for _ in range(2):
            answer = as_user(director).post(reverse("excerpt_page_remove", args=[excerpt.pk, page.pk]))
            assert answer.status_code == 302
    assert not default_storage.exists(page.file.name)
    gone = reverse("excerpt_page", args=[excerpt.pk, page.pk])
    assert as_user(director).get(gone).status_code == 404


def test_removing_the_music_removes_its_pages(send, excerpt, django_capture_on_commit_callbacks):
    send(PDF)
    name = Attachment.objects.get().file.name
    with django_capture_on_commit_callbacks(execute=True):
        excerpt.delete()
    assert not default_storage.exists(name)
