import html
import re

import pytest
from django.urls import reverse

from repertoire.models import Excerpt
from repertoire.notation import messages
from repertoire.wording.words import words
from tests.conftest import tune_musicxml
from tests.repertoire.notation import makers

pytestmark = pytest.mark.django_db


@pytest.fixture
def url():
    return reverse("excerpt_add")


def page_of(response) -> str:
    return html.unescape(response.content.decode())


def test_director_adds_a_score(as_user, director, url, typed, score_file):
    client = as_user(director)
    assert client.get(url).status_code == 200
    response = client.post(url, {**typed, "file": score_file()})
    excerpt = Excerpt.objects.get()
    assert response.status_code == 302
    assert response.url == reverse("excerpt_detail", args=[excerpt.pk])
    assert (excerpt.title, excerpt.instrument, excerpt.bar_count) == ("Window Etude", "violin", 4)
    assert excerpt.order_text == "1-2, 1-2, 3-4"
    assert excerpt.order_confirmed
    assert 'id="p1m1n1"' in excerpt.musicxml


def test_what_is_left_empty_comes_from_the_score(as_user, director, url, typed, score_file):
    metronome = (
        "<direction><direction-type><metronome><beat-unit>half</beat-unit>"
        '<per-minute>60</per-minute></metronome></direction-type><sound tempo="120"/></direction>'
    )
    head = (
        "<work><work-title>Candle Etude</work-title></work>"
        '<identification><creator type="composer">A. Nonym</creator></identification>'
    )
    data = makers.score(makers.part(makers.bars(3, {1: (metronome, "")})), head=head)
    empty = {**typed, "title": "", "composer": "", "marked_bpm": "", "beat_unit": ""}
    as_user(director).post(url, {**empty, "file": score_file(data)})
    excerpt = Excerpt.objects.get()
    assert (excerpt.title, excerpt.composer) == ("Candle Etude", "A. Nonym")
    assert (excerpt.marked_bpm, excerpt.beat_unit) == (60, "2.0")


def test_marked_tempo_is_turned_into_the_chosen_beat(as_user, director, url, typed, score_file):
    metronome = "<metronome><beat-unit>quarter</beat-unit><per-minute>120</per-minute></metronome>"
    data = makers.piece(2, {1: (makers.jump(metronome, 'tempo="120"'), "")})
    as_user(director).post(url, {**typed, "marked_bpm": "", "beat_unit": "2.0", "file": score_file(data)})
    excerpt = Excerpt.objects.get()
    assert (excerpt.marked_bpm, excerpt.beat_unit) == (60, "2.0")


def test_a_tempo_only_playback_knows_is_not_taken_for_a_marked_one(as_user, director, url, typed, score_file):
    data = makers.piece(2, {1: (makers.jump(makers.words("Allegro"), 'tempo="120"'), "")})
    response = as_user(director).post(url, {**typed, "marked_bpm": "", "file": score_file(data)})
    assert "The score gives no tempo" in page_of(response)
    assert not Excerpt.objects.exists()


def test_a_score_without_tempo_or_title_is_asked_for_them(as_user, director, url, typed, score_file):
    response = as_user(director).post(
        url, {**typed, "title": "", "marked_bpm": "", "file": score_file(makers.piece(2))}
    )
    assert "The score has no title" in page_of(response)
    assert "The score gives no tempo" in page_of(response)
    assert not Excerpt.objects.exists()


def test_a_score_once_read_need_not_be_chosen_again(as_user, director, url, typed, score_file):
    client = as_user(director)
    response = client.post(url, {**typed, "marked_bpm": "", "file": score_file(makers.piece(5))})
    assert "The score with its 5 bars is kept" in page_of(response)
    kept = re.search(r'name="kept_score" value="([^"]+)"', response.content.decode())[1]
    client.post(url, {**typed, "kept_score": kept})
    assert Excerpt.objects.get().bar_count == 5


def test_a_forged_kept_score_is_not_believed(as_user, director, url, typed):
    response = as_user(director).post(url, {**typed, "kept_score": "<score-partwise/>"})
    assert "Please choose the score's file." in page_of(response)
    assert not Excerpt.objects.exists()


def test_bad_file_gets_its_sentence_and_nothing_typed_is_lost(as_user, director, url, typed, score_file):
    response = as_user(director).post(url, {**typed, "file": score_file(b"%PDF-1.7 and so on", "a.musicxml")})
    text = page_of(response)
    assert response.status_code == 200
    assert response.context["form"].errors["file"] == [words(messages.WRONG_KIND(kind="a PDF"))]
    for value in ("Window Etude", "Nobody Real", "Page 7", "88"):
        assert f'value="{value}"' in text
    assert '<option value="violin" selected>' in text
    assert not Excerpt.objects.exists()


BOMB = (
    b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY x "xxxxxxxxxx"><!ENTITY y "&x;&x;&x;">]>'
    b"<score-partwise>&y;</score-partwise>"
)


@pytest.mark.parametrize(
    ("data", "name", "sentence"),
    [
        (BOMB, "x.musicxml", messages.ENTITIES()),
        (
            makers.zipped({"score.xml": b" " * (21 * 1024 * 1024)}),
            "x.mxl",
            messages.ZIP_BLOWS_UP(megabytes=20),
        ),
        (makers.zipped({"../score.xml": b"<a/>"}, root="../score.xml"), "x.mxl", messages.ZIP_PATH()),
        (b"PK\x03\x04 rubbish", "x.mxl", messages.ZIP_DAMAGED()),
        (b"<html><script>alert(1)</script></html>", "x.xml", messages.WRONG_KIND(kind="a web page")),
    ],
    ids=["entity bomb", "zip bomb", "zip path", "no zip", "web page"],
)
def test_hostile_files_get_a_sentence(as_user, director, url, typed, score_file, data, name, sentence):
    response = as_user(director).post(url, {**typed, "file": score_file(data, name)})
    assert response.context["form"].errors["file"] == [words(sentence)]
    assert not Excerpt.objects.exists()


def test_empty_file_and_no_file_are_refused(as_user, director, url, typed, score_file):
    client = as_user(director)
    assert "Please choose the score's file." in page_of(client.post(url, typed))
    response = client.post(url, {**typed, "file": score_file(b"")})
    assert response.context["form"].errors["file"]


def test_notes_outside_the_range_are_asked_about_with_their_bar(as_user, director, url, typed, score_file):
    low = makers.score(
        makers.part(
            [
                f'<measure number="1">{makers.attributes()}{makers.note("A")}</measure>',
                f'<measure number="2">{makers.note("C", 3)}</measure>',
            ]
        )
    )
    client = as_user(director)
    response = client.post(url, {**typed, "file": score_file(low)})
    assert "Bar 2: C3 is below the lowest note of this instrument (G3)." in page_of(response)
    assert not Excerpt.objects.exists()
    kept = re.search(r'name="kept_score" value="([^"]+)"', response.content.decode())[1]
    answer = re.search(r'name="fits" value="(\w+)"', response.content.decode())[1]
    client.post(url, {**typed, "kept_score": kept, "fits": answer, "instrument": "flute"})
    assert not Excerpt.objects.exists()
    client.post(url, {**typed, "kept_score": kept, "fits": answer})
    assert Excerpt.objects.get().bar_count == 2


def test_a_missing_transposition_is_asked_about(as_user, director, url, typed, score_file):
    response = as_user(director).post(url, {**typed, "instrument": "horn_f", "file": score_file()})
    question = (
        "From bar 1 on the score sounds as written, while a part for horn in F usually "
        "sounds 7 semitones lower than written."
    )
    assert question in page_of(response)
    assert not Excerpt.objects.exists()


@pytest.mark.parametrize(("answer", "first_midi"), [("file", 69), ("part", 62)])
def test_the_director_says_how_a_part_sounds(as_user, director, url, typed, score_file, answer, first_midi):
    wording = {**typed, "instrument": "horn_f", "sounds": answer, "file": score_file()}
    response = as_user(director).post(url, wording)
    if fits := re.search(r'name="fits" value="(\w+)"', response.content.decode()):
        as_user(director).post(url, {**wording, "fits": fits[1], "file": score_file()})
    notes = Excerpt.objects.get().score.notes
    assert (notes[0].midi, notes[0].written_step, notes[0].note_id) == (first_midi, "A", "p1m1n1")


def test_second_submit_finds_the_music_already_there(as_user, director, url, typed, score_file):
    client = as_user(director)
    first = client.post(url, {**typed, "file": score_file()})
    second = client.post(url, {**typed, "file": score_file()}, follow=True)
    assert Excerpt.objects.count() == 1
    assert second.redirect_chain[0][0] == first.url
    assert "was in the library already" in page_of(second)


def test_an_unclear_order_waits_for_the_director(as_user, director, url, typed, score_file):
    marks = {
        1: (makers.repeat_start(), ""),
        2: (makers.ending("1", "start"), makers.ending("1", "stop", repeat=True)),
        3: (makers.ending("2", "start"), makers.ending("2", "discontinue")),
        5: ("", makers.jump(makers.words("D.C."), 'dacapo="yes"')),
    }
    response = as_user(director).post(url, {**typed, "file": score_file(makers.piece(5, marks))}, follow=True)
    excerpt = Excerpt.objects.get()
    assert not excerpt.order_confirmed
    assert excerpt.order_text in page_of(response)
    assert "The order of play is not confirmed yet" in page_of(response)


def test_anonymous_is_asked_to_sign_in(as_user, studio, url):
    response = as_user(None).get(url)
    assert response.status_code == 302
    assert response.url.startswith(reverse("account_login"))


@pytest.mark.parametrize("who", ["teacher", "student_user", "guardian"])
def test_only_directors_add(as_user, request, url, typed, who, score_file):
    client = as_user(request.getfixturevalue(who))
    assert client.get(url).status_code == 403
    assert client.post(url, {**typed, "file": score_file(tune_musicxml())}).status_code == 403
    assert not Excerpt.objects.exists()


@pytest.mark.parametrize(("instrument", "expected"), [("violin", "pythagorean"), ("flute", "equal")])
def test_temperament_is_the_instruments_where_none_is_chosen(
    as_user, director, url, typed, score_file, instrument, expected
):
    as_user(director).post(url, {**typed, "instrument": instrument, "temperament": "", "file": score_file()})
    assert Excerpt.objects.get().temperament == expected
