"""A folder goes out of one studio and comes into another: whole, or not at all."""

import html
import io
import json
import zipfile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from repertoire.library import sharing
from repertoire.library.importing import import_folder
from repertoire.models import BarNote, Excerpt, Rubric
from tests.refusals import refusal

pytestmark = pytest.mark.django_db


@pytest.fixture
def noted(excerpt, teacher):
    for bar, kind, note_id in (("3", "caution", ""), ("1", "fingering", "p1m1n2")):
        BarNote.objects.create(
            excerpt=excerpt,
            author=teacher,
            kind=kind,
            from_bar=bar,
            to_bar=bar,
            note_id=note_id,
            text=f"At {bar}.",
        )
    return excerpt


def files_of(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name.rpartition("/")[2]: archive.read(name) for name in archive.namelist()}


def zipped(files: dict[str, bytes], folder: str = "x/") -> bytes:
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(folder + name, data)
    return written.getvalue()


def changed(data: bytes, name: str, change) -> bytes:
    files = files_of(data)
    document = json.loads(files[name])
    change(document)
    return zipped({**files, name: json.dumps(document).encode()})


def counts() -> tuple[int, int, int]:
    return Excerpt.objects.count(), BarNote.objects.count(), Rubric.objects.count()


def test_what_goes_out_comes_in_the_same(noted, rubric, director):
    data = sharing.shared_zip(noted, rubric=rubric)
    about, notes = sharing.about(noted), sharing.notes(noted, with_authors=False)
    form, musicxml = sharing.rubric_document(rubric), noted.musicxml
    noted.delete()
    rubric.delete()
    taken = import_folder(data, director)
    assert (taken.music_is_new, taken.notes_new, taken.rubric_is_new, taken.order_differs) == (
        True,
        2,
        True,
        False,
    )
    assert taken.excerpt.musicxml == musicxml
    assert sharing.about(taken.excerpt) == about
    assert sharing.notes(taken.excerpt, with_authors=False) == notes
    assert sharing.rubric_document(taken.rubric) == form
    assert sharing.shared_zip(taken.excerpt, rubric=taken.rubric) == data


def test_the_same_folder_twice_adds_nothing(noted, rubric, director):
    data = sharing.shared_zip(noted, rubric=rubric)
    before = counts()
    taken = import_folder(data, director)
    assert (taken.music_is_new, taken.notes_known, taken.rubric_is_new) == (False, 2, False)
    assert counts() == before


def test_authors_go_along_only_by_choice_and_students_never(noted, teacher, student, entry, requirement):
    noted.questions.create(student=student, from_bar="1", to_bar="1", text="A private matter")
    for with_authors in (False, True):
        files = files_of(sharing.shared_zip(noted, with_authors=with_authors))
        everything = b"".join(files.values()).decode()
        assert (teacher.name in everything) is with_authors
        assert student.name not in everything
        assert "A private matter" not in everything
        assert teacher.email not in everything


BROKEN = {
    "a later version": (sharing.ABOUT, lambda d: d.update(version=2), "version 2"),
    "no title": (sharing.ABOUT, lambda d: d.update(title=""), "title"),
    "title of the wrong type": (sharing.ABOUT, lambda d: d.update(title=["x"]), "title"),
    "unknown instrument": (sharing.ABOUT, lambda d: d.update(instrument="kazoo"), "instrument"),
    "no tempo": (sharing.ABOUT, lambda d: d.update(marked_bpm="NaN"), "marked_bpm"),
    "a note at a bar that is not there": (
        sharing.NOTES,
        lambda d: d["notes"][1].update(from_bar="9"),
        "Bar 9 is not in this score",
    ),
    "a kind nobody knows": (sharing.NOTES, lambda d: d["notes"][0].update(kind="x"), "kind"),
    "notes that are no list": (sharing.NOTES, lambda d: d.update(notes="x"), "notes"),
    "half a letter in the title": (sharing.ABOUT, lambda d: d.update(title="a\ud800"), "title"),
    "half a letter in a note": (sharing.NOTES, lambda d: d["notes"][0].update(text="\udfff"), "text"),
    "a note without end": (sharing.NOTES, lambda d: d["notes"][0].update(text="x" * 2001), "at most 2000"),
    "too many notes": (sharing.NOTES, lambda d: d.update(notes=d["notes"] * 1001), "more than 2000"),
    "a range upside down": (sharing.RUBRIC, lambda d: d["captions"][0].update(low="20"), "above the lowest"),
    "a weight of nothing": (sharing.RUBRIC, lambda d: d["captions"][0].update(weight="0"), "weight"),
}


@pytest.mark.parametrize("trouble", BROKEN)
def test_what_does_not_fit_keeps_everything_out(noted, rubric, director, trouble):
    name, change, words = BROKEN[trouble]
    data = changed(sharing.shared_zip(noted, rubric=rubric), name, change)
    noted.delete()
    rubric.delete()
    before = counts()
    with refusal(words):
        import_folder(data, director)
    assert counts() == before


def test_files_that_are_no_such_folder(noted, director):
    files = files_of(sharing.shared_zip(noted))
    bomb = {**files, sharing.NOTES: b" " * 25_000_000}
    for data, words in (
        (b"", "not a zip"),
        (b"%PDF-1.7", "not a zip"),
        (b"PK\x03\x04 and then nothing", "damaged"),
        (zipped({sharing.ABOUT: files[sharing.ABOUT]}), "holds no bar-notes.json"),
        (zipped({k: v for k, v in files.items() if k != sharing.SCORE}), "holds no score.musicxml"),
        (zipped(files, "../../"), "outside itself"),
        (zipped({**files, sharing.ABOUT: b"[" * 100_000}), "cannot be read"),
        (zipped({**files, sharing.ABOUT: b"\xff\xfe"}), "cannot be read"),
        (zipped(bomb), "unpacks to more than 20 MB"),
        (zipped({**files, **{f"{k}.txt": b"" for k in range(100)}}), "more than a score needs"),
        (zipped({**files, sharing.SCORE: b"<score-partwise/>"}), "no part"),
    ):
        with refusal(words):
            import_folder(data, director)
    assert Excerpt.objects.count() == 1


def test_over_the_pages(as_user, director, noted, rubric):
    client = as_user(director)
    answer = client.post(reverse("excerpt_share", args=[noted.pk]), {"rubric": rubric.pk})
    assert answer["Content-Disposition"] == 'attachment; filename="lamp-etude.zip"'
    noted.delete()
    upload = SimpleUploadedFile("folder.zip", answer.content)
    page = client.post(reverse("excerpt_import"), {"file": upload}, follow=True)
    text = html.unescape(page.content.decode())
    assert "“Lamp Etude” is in the library now." in text
    assert "2 bar notes were taken." in text
    assert "was here already" in text


def test_a_bad_folder_is_reported_beside_the_field(as_user, director):
    upload = SimpleUploadedFile("folder.zip", b"hello")
    page = as_user(director).post(reverse("excerpt_import"), {"file": upload})
    assert "This is not a zip" in page.context["form"].errors["file"][0]
