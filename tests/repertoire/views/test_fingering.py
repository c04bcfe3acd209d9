"""The position plan on its page: suggested, changed by the teacher, shown to everyone."""

import html

import pytest
from django.urls import reverse

from repertoire.models import BarNote, Excerpt, Fingering
from repertoire.notation.instruments import INSTRUMENTS
from repertoire.notation.positions.boards import FINGERBOARDS

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(excerpt):
    return reverse("fingering", args=[excerpt.pk])


@pytest.fixture
def choose(excerpt):
    return reverse("fingering_lock", args=[excerpt.pk])


@pytest.fixture
def show(excerpt):
    return reverse("fingering_show", args=[excerpt.pk])


@pytest.fixture
def hide(excerpt):
    return reverse("fingering_hide", args=[excerpt.pk])


def wording(response) -> str:
    return html.unescape(response.content.decode())


def drawn(client, excerpt) -> str:
    return wording(client.get(reverse("excerpt_svg", args=[excerpt.pk])))


def first_note(excerpt) -> str:
    return excerpt.score.notes[0].note_id


def chosen(excerpt, *, finger: str = "", string: str = "") -> dict[str, str]:
    note_id = first_note(excerpt)
    return {"bar": "1", f"lock-{note_id}-finger": finger, f"lock-{note_id}-string": string}


def test_the_boards_are_tuned_as_the_instruments_are():
    for key, board in FINGERBOARDS.items():
        assert tuple(reversed(board.strings)) == INSTRUMENTS[key].strings


def test_a_teacher_sees_a_suggestion_and_its_shifts(as_user, teacher, page):
    text = wording(as_user(teacher).get(page))
    assert "This is a suggestion" in text
    assert "Note by note, each in its lowest position" in text
    assert "With pain or numbness the student stops" in text
    assert 'class="fing"' in text.replace("fing ", "fing") or "fing" in text


def test_music_too_long_to_plan_while_one_waits_has_no_such_page(
    as_user, teacher, page, excerpt, monkeypatch
):
    monkeypatch.setattr("repertoire.show.fingering.MOST_NOTES", len(excerpt.score.notes) - 1)
    client = as_user(teacher)
    assert client.get(page).status_code == 404
    assert page not in wording(client.get(reverse("excerpt_detail", args=[excerpt.pk])))


def test_the_page_asks_few_questions(as_user, teacher, page, django_assert_max_num_queries):
    client = as_user(teacher)
    client.get(page)
    with django_assert_max_num_queries(12):
        client.get(page)


def test_the_music_links_to_it_for_teachers_only(as_user, teacher, student_user, excerpt, entry, requirement):
    detail = reverse("excerpt_detail", args=[excerpt.pk])
    link = reverse("fingering", args=[excerpt.pk])
    assert link in wording(as_user(teacher).get(detail))
    assert link not in wording(as_user(student_user).get(detail))


def test_a_choice_is_kept_and_planned_around(as_user, teacher, excerpt, page, choose):
    client = as_user(teacher)
    asked = wording(client.get(f"{page}?bar=1"))
    assert "Finger for note 1, A 4" in asked
    assert "planned: 0 II" in asked
    assert client.post(choose, chosen(excerpt, finger="4", string="2")).url == page
    assert Fingering.objects.get().locks == {first_note(excerpt): [4, 2]}
    text = wording(client.get(page))
    assert "Without your choices" in text
    assert "III: 4" in text


def test_the_printed_fingering_stands_beside(as_user, teacher, excerpt, page):
    text, plain = excerpt.musicxml, "<type>quarter</type></note>"
    for finger in (4, 1):
        fingering = f"<notations><technical><fingering>{finger}</fingering></technical></notations>"
        text = text.replace(plain, plain.replace("</note>", f"{fingering}</note>"), 1)
    excerpt.musicxml = text
    excerpt.save()
    shown = wording(as_user(teacher).get(page))
    assert "As printed, on the strings that move the hand least" in shown


def test_a_choice_is_taken_back(as_user, teacher, excerpt, choose):
    client = as_user(teacher)
    client.post(choose, chosen(excerpt, finger="4", string="2"))
    client.post(choose, chosen(excerpt))
    assert Fingering.objects.get().locks == {}


def test_a_choice_no_hand_can_play_is_shown_with_its_bar(as_user, teacher, excerpt, page, choose):
    client = as_user(teacher)
    client.post(choose, chosen(excerpt, string="0"))
    assert "Bar 1: the finger or string chosen for A 4 cannot play it" in wording(client.get(page))


def test_what_is_no_finger_is_shown_beside_the_field(as_user, teacher, excerpt, choose):
    response = as_user(teacher).post(choose, chosen(excerpt, finger="9"))
    assert "9 is not one of the available choices" in wording(response)
    assert not Fingering.objects.exists()


def test_options_are_kept(as_user, teacher, page):
    client = as_user(teacher)
    assert client.post(page, {"highest": "3", "tuning": "G3 D4 A4  D5"}).url == page
    kept = Fingering.objects.get()
    assert (kept.open_strings, kept.highest, kept.tuning) == (False, 3, "G3 D4 A4 D5")
    assert "G3 D4 A4 D5" in wording(client.get(page))


def test_a_tuning_that_cannot_be_read_is_shown_and_kept_in_its_field(as_user, teacher, page):
    response = as_user(teacher).post(page, {"tuning": "G D A"})
    assert "Please name 4 to 6 strings, the lowest first." in wording(response)
    assert 'value="G D A"' in wording(response)
    assert not Fingering.objects.exists()


def test_everyone_sees_what_the_teacher_shows_until_it_is_taken_out(
    as_user, teacher, student_user, excerpt, entry, requirement, show, hide
):
    student = as_user(student_user)
    before = drawn(student, excerpt)
    for _ in range(2):
        as_user(teacher).post(show)
    assert drawn(student, excerpt) != before
    note = BarNote.objects.get()
    assert (note.kind, note.bars_text, note.author) == ("fingering", "bar 1", teacher)
    assert "Begin in position I." in wording(student.get(reverse("excerpt_detail", args=[excerpt.pk])))
    for _ in range(2):
        as_user(teacher).post(hide)
    assert drawn(student, excerpt) == before
    assert not BarNote.objects.exists()


def test_other_bar_notes_stay(as_user, teacher, excerpt, show, hide):
    own = BarNote.objects.create(excerpt=excerpt, kind="fingering", from_bar="2", to_bar="2", text="Lightly.")
    as_user(teacher).post(show)
    as_user(teacher).post(hide)
    assert list(BarNote.objects.all()) == [own]


def test_a_shift_stands_at_its_bar(as_user, teacher, excerpt, choose, show):
    client = as_user(teacher)
    second_bar = next(note.note_id for note in excerpt.score.notes if note.measure_index == 1)
    client.post(choose, {"bar": "2", f"lock-{second_bar}-finger": "1", f"lock-{second_bar}-string": "1"})
    client.post(show)
    texts = [note.text for note in BarNote.objects.order_by("from_bar")]
    assert any("for E 5: finger 1 on string II" in text or "position IV" in text for text in texts)


def test_a_corrected_score_no_longer_shows_the_old_fingering(as_user, teacher, excerpt, show, page, choose):
    client = as_user(teacher)
    client.post(choose, chosen(excerpt, finger="4", string="2"))
    client.post(show)
    excerpt.musicxml = excerpt.musicxml.replace("<step>A</step>", "<step>G</step>", 1)
    excerpt.save()
    plain = drawn(client, excerpt)
    assert "The music has been corrected since the last plan" in wording(client.get(page))
    client.post(page, {"open_strings": "on"})
    assert "has been corrected since" not in wording(client.get(page))
    kept = Fingering.objects.get()
    assert (kept.locks, kept.shown) == ({}, {})
    assert drawn(client, excerpt) == plain


def test_a_wind_instrument_has_no_positions(as_user, teacher, excerpt):
    Excerpt.objects.filter(pk=excerpt.pk).update(instrument="flute")
    client = as_user(teacher)
    assert client.get(reverse("fingering", args=[excerpt.pk])).status_code == 404
    detail = wording(client.get(reverse("excerpt_detail", args=[excerpt.pk])))
    assert reverse("fingering", args=[excerpt.pk]) not in detail
