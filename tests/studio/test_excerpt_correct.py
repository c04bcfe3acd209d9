"""A corrected score: shown first, then put in place, with what hangs on its bars."""

import html
import re

import pytest
from django.urls import reverse

from repertoire.models import BarNote, EarlierScore, Excerpt
from tests.conftest import tune_musicxml
from tests.repertoire.notation.foreign_makers import KERN

pytestmark = pytest.mark.django_db
B_FLAT = (b"<step>B</step>", b"<step>B</step><alter>-1</alter>")


@pytest.fixture
def url(excerpt):
    return reverse("excerpt_correct", args=[excerpt.pk])


def corrected() -> bytes:
    return tune_musicxml().replace(*B_FLAT, 1)


def shorter() -> bytes:
    """Without bar 4."""
    return re.sub(rb'<measure number="4">.*?</measure>', b"", tune_musicxml())


def hidden(response) -> dict:
    page = response.content.decode()
    found = re.findall(r'<input type="hidden" name="(kept_score|before|aside)" value="([^"]*)"', page)
    return {name: html.unescape(value) for name, value in found}


def page_of(response) -> str:
    return html.unescape(response.content.decode())


def test_it_is_shown_before_anything_is_saved(as_user, director, url, excerpt, score_file):
    client = as_user(director)
    assert client.get(url).status_code == 200
    shown = client.post(url, {"file": score_file(corrected())})
    assert "Bar 1: the second note is now B flat, was B." in page_of(shown)
    excerpt.refresh_from_db()
    assert "<alter>" not in excerpt.musicxml
    assert not EarlierScore.objects.exists()

    done = client.post(url, {**hidden(shown), "confirm": "on"})
    assert done.url == reverse("excerpt_detail", args=[excerpt.pk])
    excerpt.refresh_from_db()
    assert excerpt.score.notes[1].midi == 70
    earlier = EarlierScore.objects.get()
    assert (earlier.excerpt, earlier.replaced_by) == (excerpt, director)
    assert "<alter>" not in earlier.musicxml
    again = client.post(url, {**hidden(shown), "confirm": "on"})
    assert "nothing would change" in page_of(again)
    assert EarlierScore.objects.count() == 1


def test_another_file_is_shown_first_even_when_confirmed(as_user, director, url, excerpt, score_file):
    client = as_user(director)
    shown = client.post(url, {"file": score_file(corrected())})
    other = client.post(url, {**hidden(shown), "confirm": "on", "file": score_file(shorter())})
    assert other.status_code == 200
    assert "Bar 4 is no longer there." in page_of(other)
    assert not EarlierScore.objects.exists()


def test_two_windows_do_not_overwrite_each_other(as_user, director, url, excerpt, score_file):
    client = as_user(director)
    first = client.post(url, {"file": score_file(corrected())})
    second = client.post(url, {"file": score_file(shorter())})
    client.post(url, {**hidden(first), "confirm": "on"})
    late = client.post(url, {**hidden(second), "confirm": "on"})
    assert "corrected in another window" in page_of(late)
    assert EarlierScore.objects.count() == 1


def test_bar_notes_stay_with_their_bars(as_user, director, url, excerpt, score_file):
    first = BarNote.objects.create(excerpt=excerpt, from_bar="1", to_bar="1", note_id="p1m1n2", text="Low.")
    last = BarNote.objects.create(excerpt=excerpt, from_bar="4", to_bar="4", note_id="p1m4n1", text="End.")
    client = as_user(director)
    shown = client.post(url, {"file": score_file(shorter())})
    assert "1 bar note stands at a bar that is no longer there" in page_of(shown)
    client.post(url, {**hidden(shown), "confirm": "on"})
    first.refresh_from_db()
    last.refresh_from_db()
    assert (first.from_bar, first.note_id) == ("1", "p1m1n2")
    assert (last.from_bar, last.note_id, last.text) == ("4", "", "End.")


def test_requirements_whose_bars_are_gone_are_asked_about(as_user, director, url, requirement, score_file):
    requirement.from_bar, requirement.to_bar = "2", "4"
    requirement.save()
    client = as_user(director)
    shown = client.post(url, {"file": score_file(shorter())})
    assert "It asks for bars 2 to 4" in page_of(shown)
    wrong = {f"from-{requirement.pk}": "2", f"to-{requirement.pk}": "9"}
    refused = client.post(url, {**hidden(shown), "confirm": "on", **wrong})
    assert "bars that are printed" in page_of(refused)
    assert not EarlierScore.objects.exists()
    right = {f"from-{requirement.pk}": "2", f"to-{requirement.pk}": "3"}
    client.post(url, {**hidden(shown), "confirm": "on", **right})
    requirement.refresh_from_db()
    assert requirement.bars == ("2", "3")
    assert requirement.excerpt.bar_count == 3


def test_an_order_as_a_line_is_asked_about_too(as_user, director, url, requirement, score_file):
    requirement.order_line = "1-2, 4"
    requirement.save()
    client = as_user(director)
    shown = client.post(url, {"file": score_file(shorter())})
    assert "It asks for 1-2, 4" in page_of(shown)
    refused = client.post(url, {**hidden(shown), "confirm": "on", f"line-{requirement.pk}": "1-2, 4"})
    assert "bars that are printed" in page_of(refused)
    client.post(url, {**hidden(shown), "confirm": "on", f"line-{requirement.pk}": "1-2, 3"})
    requirement.refresh_from_db()
    assert requirement.order_line == "1-2, 3"


def test_requirements_whose_bars_are_there_are_left_alone(as_user, director, url, requirement, score_file):
    requirement.from_bar, requirement.to_bar = "1", "3"
    requirement.save()
    client = as_user(director)
    shown = client.post(url, {"file": score_file(shorter())})
    assert "It asks for bars" not in page_of(shown)
    client.post(url, {**hidden(shown), "confirm": "on"})
    requirement.refresh_from_db()
    assert requirement.bars == ("1", "3")


@pytest.mark.parametrize(
    ("data", "wording"),
    [(b"", "empty"), (b"nonsense", "not a MusicXML"), (tune_musicxml(), "nothing would change")],
)
def test_bad_files_change_nothing(as_user, director, url, excerpt, score_file, data, wording):
    before = excerpt.content_hash
    answer = as_user(director).post(url, {"file": score_file(data)})
    assert answer.status_code == 200
    assert wording in page_of(answer)
    excerpt.refresh_from_db()
    assert excerpt.content_hash == before


def test_without_a_file_and_with_forged_tokens(as_user, director, url, excerpt):
    client = as_user(director)
    assert "choose the score's file" in page_of(client.post(url, {}))
    forged = {"kept_score": "x.y.z", "confirm": "on", "before": excerpt.content_hash}
    assert "choose the score's file" in page_of(client.post(url, forged))


def test_a_part_is_chosen_here_too(as_user, director, url, excerpt, score_file):
    client = as_user(director)
    asked = client.post(url, {"file": score_file(KERN)})
    assert "Violin: 2 bars, 4 notes" in page_of(asked)
    shown = client.post(url, {**hidden(asked), "part": "1"})
    assert "Bars 3, 4 are no longer there." in page_of(shown)


def test_transposition_once_chosen_stays(as_user, director, excerpt, url, score_file):
    from repertoire.library.transposition import as_transposed
    from repertoire.notation.read.reading import read_score

    excerpt.instrument = "clarinet_b_flat"
    excerpt.musicxml = as_transposed(read_score(tune_musicxml()), -2).musicxml
    excerpt.save()
    shown = as_user(director).post(url, {"file": score_file(corrected())})
    assert "it stays as it was" in page_of(shown)
    assert "The part now" not in page_of(shown)


def test_scale_sheets_are_written_here_and_not_corrected(as_user, director, url, excerpt):
    Excerpt.objects.filter(pk=excerpt.pk).update(kind="scale")
    assert as_user(director).get(url).status_code == 404


def test_others_may_not(as_user, teacher, student, url, requirement):
    for person in (teacher, student.user):
        if person == teacher:
            assert as_user(person).post(url).status_code == 403
