import re

import pytest
from django.urls import reverse

from repertoire.notation.write.tempo_changes import TempoChange, write_tempos

pytestmark = pytest.mark.django_db


@pytest.fixture
def url(excerpt):
    return reverse("excerpt_detail", args=[excerpt.pk])


def test_music_and_facts_are_there(as_user, teacher, url, excerpt):
    text = as_user(teacher).get(url).content.decode()
    for wording in ("C major", "4/4", "quarter note = 96", "1-2, 1-2, 3-4"):
        assert wording in text
    drawn = set(re.findall(r'<g id="([^"]+)"', text))
    assert {note.note_id for note in excerpt.score.notes} <= drawn
    assert {measure.measure_id for measure in excerpt.score.measures} <= drawn


def test_the_music_is_there_in_words(as_user, teacher, url):
    text = as_user(teacher).get(url).content.decode()
    assert "C major; 4/4; A 4 quarter note, B 4 quarter note, C 5 quarter note, D 5 quarter note" in text


def test_a_phone_gets_a_narrow_drawing(as_user, teacher, url):
    client = as_user(teacher)
    phone = client.get(url, headers={"user-agent": "Mozilla/5.0 (Linux; Android 14) Mobile Safari"})
    assert 'data-width="320"' in phone.content.decode()
    assert 'data-width="1080"' in client.get(url).content.decode()
    assert "User-Agent" in phone["Vary"]


def test_words_in_a_score_are_only_words(as_user, director, score_file, typed):
    from tests.repertoire.notation import makers

    evil = "&lt;script&gt;alert(1)&lt;/script&gt;"
    data = makers.score(
        makers.part(makers.bars(2, {1: (makers.jump(makers.words(evil), 'tempo="90"'), "")})),
        head=f"<work><work-title>{evil}</work-title></work>",
    )
    client = as_user(director)
    response = client.post(
        reverse("excerpt_add"), {**typed, "title": "", "file": score_file(data)}, follow=True
    )
    assert response.status_code == 200
    assert b"<script>alert" not in response.content


def test_unconfirmed_order_is_shown_to_all_and_asked_of_the_director(
    as_user, director, teacher, url, excerpt
):
    excerpt.order_confirmed = False
    excerpt.order_question = "Two readings differ."
    excerpt.save()
    asked = as_user(director).get(url).content.decode()
    assert "Two readings differ." in asked
    assert reverse("excerpt_confirm", args=[excerpt.pk]) in asked
    wording = as_user(teacher).get(url).content.decode()
    assert "The director has still to confirm" in wording
    assert reverse("excerpt_confirm", args=[excerpt.pk]) not in wording


def test_student_and_guardian_of_that_music(as_user, url, entry, requirement, student_user, guardian):
    assert as_user(student_user).get(url).status_code == 200
    assert as_user(guardian).get(url).status_code == 200


def test_strangers_find_nothing(as_user, url, entry, requirement, other_student, other_guardian):
    for user in (other_student.user, other_guardian):
        assert as_user(user).get(url).status_code == 404


def test_music_that_is_not_there(as_user, director):
    assert as_user(director).get(reverse("excerpt_detail", args=[4711])).status_code == 404


def test_anonymous_is_asked_to_sign_in(as_user, url):
    assert as_user(None).get(url).url.startswith(reverse("account_login"))


def test_changes_of_tempo_are_shown(as_user, teacher, url, excerpt):
    changes = [TempoChange("3", bpm=60.0, beat_unit_q=1.5), TempoChange("4", word="rit.")]
    excerpt.musicxml = write_tempos(excerpt.musicxml, changes)
    excerpt.save()
    text = as_user(teacher).get(url).content.decode()
    assert "From bar 3: dotted quarter note = 60. Bar 4: rit." in text
