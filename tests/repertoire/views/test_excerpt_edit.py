"""Changing what is said about kept music, and removing it."""

import html

import pytest
from django.urls import reverse

from repertoire.library.written_tempos import with_earlier_tempos
from repertoire.models import Excerpt, Fingering, shown_fingerings
from repertoire.notation.read.reading import CanonicalScore
from repertoire.notation.write.tempo_changes import TempoChange, write_tempos, written_tempos
from repertoire.show.play_along import times_document

pytestmark = pytest.mark.django_db

NAMES = ("bar", "tempo", "beat_unit")
SLOWER, RIT, EMPTY = ("3", "60", "1.5"), ("4", "rit.", "1.0"), ("", "", "1.0")


@pytest.fixture
def url(excerpt):
    return reverse("excerpt_edit", args=[excerpt.pk])


@pytest.fixture
def remove(excerpt):
    return reverse("excerpt_remove", args=[excerpt.pk])


@pytest.fixture
def changed():
    return {
        "title": "Lantern Etude",
        "composer": "Nobody Real",
        "source": "Page 9",
        "marked_bpm": "48",
        "beat_unit": "2.0",
        "temperament": "just",
        **tempo_lines(),
    }


def tempo_lines(*lines: tuple[str, str, str], kept: int = 0) -> dict[str, str]:
    """What the page sends for lines of (bar, tempo or word, beat unit)."""
    sent = {"tempos-TOTAL_FORMS": str(len(lines)), "tempos-INITIAL_FORMS": str(kept)}
    for number, typed in enumerate(lines):
        sent |= {f"tempos-{number}-{name}": value for name, value in zip(NAMES, typed, strict=True)}
    return sent


def test_director_changes_details_and_sends_them_twice(as_user, director, url, excerpt, changed):
    client = as_user(director)
    assert client.get(url).status_code == 200
    for _ in range(2):
        assert client.post(url, changed).url == reverse("excerpt_detail", args=[excerpt.pk])
    now = Excerpt.objects.get()
    assert (now.title, now.marked_bpm, now.beat_unit, now.temperament) == ("Lantern Etude", 48, "2.0", "just")
    assert now.musicxml == excerpt.musicxml


def test_the_beat_unit_stays_once_tempos_are_set_in_it(as_user, director, url, requirement, changed):
    as_user(director).post(url, changed)
    now = Excerpt.objects.get()
    assert (now.title, now.beat_unit) == ("Lantern Etude", "1.0")


def test_bad_input_is_shown_and_kept(as_user, director, url, excerpt, changed):
    response = as_user(director).post(url, {**changed, "marked_bpm": "3"})
    text = html.unescape(response.content.decode())
    assert "greater than or equal to 10" in text
    assert 'value="Page 9"' in text
    assert Excerpt.objects.get().title == excerpt.title


def test_the_title_of_the_same_music_is_taken(as_user, director, url, excerpt, changed):
    Excerpt.objects.create(
        title="Lantern Etude", instrument="violin", musicxml=excerpt.musicxml, marked_bpm=60, bar_count=4
    )
    response = as_user(director).post(url, changed)
    assert response.context["form"].errors["title"]


def test_unused_music_is_removed(as_user, director, remove):
    client = as_user(director)
    assert client.post(remove).url == reverse("excerpt_list")
    assert not Excerpt.objects.exists()
    assert client.post(remove).status_code == 404


def test_music_set_for_an_audition_stays(as_user, director, remove, requirement):
    response = as_user(director).post(remove, follow=True)
    assert "is set for an audition or a clinic, so it stays" in html.unescape(response.content.decode())
    assert Excerpt.objects.exists()


@pytest.mark.parametrize("who", ["teacher", "student_user", "guardian"])
def test_those_who_see_it_may_not_change_it(as_user, request, url, remove, changed, entry, requirement, who):
    client = as_user(request.getfixturevalue(who))
    assert client.get(url).status_code == 403
    assert client.post(url, changed).status_code == 403
    assert client.post(remove).status_code == 403
    assert Excerpt.objects.get().title == "Lamp Etude"


def test_strangers_find_nothing(as_user, url, remove, changed, requirement, other_student):
    client = as_user(other_student.user)
    assert client.post(url, changed).status_code == 404
    assert client.post(remove).status_code == 404


def test_anonymous_is_asked_to_sign_in(as_user, url, remove):
    for address in (url, remove):
        assert as_user(None).post(address).url.startswith(reverse("account_login"))


def test_changes_of_tempo_are_written_shown_again_and_taken_away(as_user, director, url, excerpt, changed):
    client = as_user(director)
    assert client.post(url, changed | tempo_lines(RIT, SLOWER)).status_code == 302
    written = Excerpt.objects.get()
    assert written_tempos(written.musicxml) == (TempoChange("3", 60.0, 1.5), TempoChange("4", word="rit."))
    assert written.score.notes == excerpt.score.notes
    text = client.get(url).content.decode()
    assert 'value="60"' in text
    assert 'value="rit."' in text
    for _ in range(2):
        assert client.post(url, changed | tempo_lines(SLOWER, EMPTY, kept=2)).status_code == 302
        assert len(written_tempos(Excerpt.objects.get().musicxml)) == 1
    client.post(url, changed | tempo_lines(EMPTY, kept=1))
    assert Excerpt.objects.get().musicxml == excerpt.musicxml


def test_the_change_is_timed_against_the_marked_tempo(as_user, director, url, excerpt, changed):
    as_user(director).post(url, {**changed, "beat_unit": "1.0"} | tempo_lines(("3", "24", "1.0")))
    written = Excerpt.objects.get()
    at_s = {bar["bar"]: bar["at_s"] for bar in times_document(written, written.form(), bpm=48.0)["bars"]}
    assert at_s["4"] - at_s["3"] == pytest.approx(4 * 60 / 24)
    assert at_s["3"] == pytest.approx(4 * 4 * 60 / 48)


@pytest.mark.parametrize(
    ("line", "wording"),
    [
        (("99", "60", "1.0"), "Bar 99 is not in this score, which has bars 1 to 4."),
        (("1", "60", "1.0"), "Bar 1 is the beginning"),
        (("3", "4000", "1.0"), "A tempo lies between 10 and 400 beats a minute."),
        (("3", "dolce", "1.0"), "“dolce” is no tempo"),
        (("", "60", "1.0"), "Please say from which bar."),
        (("3", "", "1.0"), "Please write the tempo or the word"),
        (("3", "60", "7"), "7 is not one of the available choices"),
    ],
)
def test_a_line_that_cannot_be_written_says_why_and_keeps_what_was_typed(
    as_user, director, url, excerpt, changed, line, wording
):
    response = as_user(director).post(url, changed | tempo_lines(RIT, line))
    text = html.unescape(response.content.decode())
    assert wording in text
    assert 'value="rit."' in text
    assert Excerpt.objects.get().musicxml == excerpt.musicxml


def test_takes_and_fingerings_stay_with_the_music(as_user, director, url, excerpt, requirement, changed):
    Fingering.objects.create(excerpt=excerpt, content_hash=excerpt.content_hash, shown={"p1m1n1": "2"})
    as_user(director).post(url, changed | tempo_lines(SLOWER))
    written = Excerpt.objects.get()
    assert shown_fingerings(written) == {"p1m1n1": "2"}
    assert [earlier.content_hash for earlier in written.earlier_scores.all()] == [excerpt.content_hash]


def test_a_corrected_score_keeps_the_written_changes_it_has_bars_for(excerpt):
    both = [TempoChange("3", 60.0, 1.5), TempoChange("77", word="rit.")]
    longer = CanonicalScore(excerpt.musicxml, excerpt.score)
    excerpt.musicxml = excerpt.musicxml.replace('number="4"', 'number="77"')
    excerpt.musicxml = write_tempos(excerpt.musicxml, both)
    assert written_tempos(with_earlier_tempos(excerpt, longer).musicxml) == (both[0],)
