"""Bar notes as teachers write them and as everybody with the music reads them."""

import html

import pytest
from django.urls import reverse

from repertoire.models import BarNote

pytestmark = pytest.mark.django_db


@pytest.fixture
def add(excerpt):
    return reverse("bar_note_add", args=[excerpt.pk])


@pytest.fixture
def page(excerpt):
    return reverse("excerpt_detail", args=[excerpt.pk])


@pytest.fixture
def typed():
    return {"kind": "bowing", "from_bar": "2", "to_bar": "3", "note_id": "", "text": "Stay at the frog."}


@pytest.fixture
def note(excerpt, teacher):
    return BarNote.objects.create(
        excerpt=excerpt, author=teacher, kind="caution", from_bar="2", to_bar="3", text="Breathe first."
    )


def wording(response) -> str:
    return html.unescape(response.content.decode())


def test_a_teacher_writes_at_a_bar(as_user, teacher, add, page, typed):
    client = as_user(teacher)
    assert 'value="2"' in wording(client.get(f"{add}?bar=2"))
    assert client.post(add, typed).url == page
    note = BarNote.objects.get()
    assert (note.author, note.bars_text, note.edited_at) == (teacher, "bars 2-3", None)
    assert "Stay at the frog." in wording(client.get(page))


def test_a_bar_that_is_not_there_is_shown_beside_its_field_and_nothing_typed_is_lost(
    as_user, teacher, add, typed
):
    response = as_user(teacher).post(add, {**typed, "to_bar": "40"})
    assert "Bar 40 is not in this score, which has bars 1 to 4." in wording(response)
    assert list(response.context["form"].errors) == ["to_bar"]
    assert "Stay at the frog." in wording(response)
    assert not BarNote.objects.exists()


def test_changing_says_when(as_user, teacher, note, typed):
    address = reverse("bar_note_edit", args=[note.pk])
    as_user(teacher).post(address, {**typed, "text": "Slower bow."})
    note.refresh_from_db()
    assert (note.text, note.kind) == ("Slower bow.", "bowing")
    assert note.edited_at


def test_removing_twice(as_user, teacher, note, page):
    address = reverse("bar_note_remove", args=[note.pk])
    client = as_user(teacher)
    assert client.post(address).url == page
    assert client.post(address).status_code == 404


def test_a_director_changes_any_note_another_teacher_does_not(as_user, director, other_teacher, note):
    address = reverse("bar_note_edit", args=[note.pk])
    assert as_user(director).get(address).status_code == 200
    assert as_user(other_teacher).get(address).status_code == 403
    assert as_user(other_teacher).post(reverse("bar_note_remove", args=[note.pk])).status_code == 403


@pytest.mark.parametrize("who", ["student_user", "guardian"])
def test_those_who_play_it_read_and_do_not_write(
    as_user, request, note, page, add, typed, entry, requirement, who
):
    client = as_user(request.getfixturevalue(who))
    text = wording(client.get(page))
    assert "Breathe first." in text
    assert "Caution" in text
    assert add not in text
    assert client.post(add, typed).status_code == 403
    assert client.post(reverse("bar_note_remove", args=[note.pk])).status_code == 403
    assert BarNote.objects.get().text == "Breathe first."


def test_strangers_find_nothing(as_user, note, add, typed, requirement, other_student):
    client = as_user(other_student.user)
    assert client.post(add, typed).status_code == 404
    assert client.get(reverse("bar_note_edit", args=[note.pk])).status_code == 404


def test_anonymous_is_asked_to_sign_in(as_user, add, note):
    for address in (add, reverse("bar_note_edit", args=[note.pk])):
        assert as_user(None).get(address).url.startswith(reverse("account_login"))


def test_the_margin_costs_the_same_for_one_note_and_for_twenty(
    as_user, student_user, entry, requirement, note, page, django_assert_max_num_queries
):
    client = as_user(student_user)
    client.get(page)
    with django_assert_max_num_queries(13) as with_one:
        client.get(page)
    for k in range(20):
        BarNote.objects.create(excerpt=note.excerpt, from_bar="1", to_bar="1", text=f"Note {k}")
    with django_assert_max_num_queries(len(with_one)):
        client.get(page)


def test_what_is_written_is_only_words(as_user, teacher, add, page, typed):
    client = as_user(teacher)
    client.post(add, {**typed, "text": "<script>alert(1)</script>"})
    assert b"<script>alert" not in client.get(page).content
