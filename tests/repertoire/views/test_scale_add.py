import html

import pytest
from django.urls import reverse

from repertoire.models import Excerpt

pytestmark = pytest.mark.django_db


@pytest.fixture
def url():
    return reverse("scale_add")


@pytest.fixture
def chosen():
    return {
        "instrument": "violin",
        "tonic": "B♭",
        "kind": "melodic_minor",
        "octaves": "2",
        "arpeggio": "on",
        "note_value": "eighth",
        "slur": "4",
        "marked_bpm": "80",
        "beat_unit": "1.0",
        "temperament": "equal",
    }


def test_director_makes_a_scale_sheet(as_user, director, url, chosen):
    client = as_user(director)
    assert client.get(url).status_code == 200
    response = client.post(url, chosen)
    excerpt = Excerpt.objects.get()
    assert response.url == reverse("excerpt_detail", args=[excerpt.pk])
    assert excerpt.kind == Excerpt.Kind.SCALE
    assert excerpt.title == "B flat melodic minor, two octaves, with arpeggio"
    assert excerpt.scale_spec == {
        "tonic": "B♭",
        "kind": "melodic_minor",
        "octaves": 2,
        "arpeggio": True,
        "note_value": "eighth",
        "slur": 4,
        "pattern": "straight",
        "rhythm": "even",
        "raised": 0,
    }
    assert excerpt.score.notes[0].midi == 58
    assert excerpt.order_confirmed
    assert [(mark.bpm, mark.beat_unit_q) for mark in excerpt.score.tempo_marks] == [(80, 1.0)]


@pytest.mark.parametrize("kind", ["major", "natural_minor", "harmonic_minor", "melodic_minor"])
@pytest.mark.parametrize("instrument", ["horn_f", "double_bass", "clarinet_b_flat"])
def test_sheets_stay_in_the_instruments_range(as_user, director, url, chosen, kind, instrument):
    as_user(director).post(url, {**chosen, "tonic": "G", "kind": kind, "instrument": instrument})
    excerpt = Excerpt.objects.get()
    facts = excerpt.instrument_facts
    assert min(note.midi for note in excerpt.score.notes) >= facts.sounding_low
    assert max(note.midi for note in excerpt.score.notes) <= facts.sounding_high
    assert excerpt.score.transposition == facts.transposition


def test_out_of_range_gets_a_sentence_and_keeps_what_was_chosen(as_user, director, url, chosen):
    response = as_user(director).post(url, {**chosen, "instrument": "trombone", "octaves": "3"})
    text = html.unescape(response.content.decode())
    assert "does not fit the range of the trombone; please choose fewer octaves." in text
    for choice in ("B♭", "melodic_minor", "3", "trombone"):
        assert f'<option value="{choice}" selected>' in text
    assert not Excerpt.objects.exists()


def test_unwritable_keys_get_a_sentence(as_user, director, url, chosen):
    response = as_user(director).post(url, {**chosen, "tonic": "G♯", "kind": "major"})
    assert "G sharp major is not written in practice" in response.content.decode()


def test_choices_nobody_offers_are_refused(as_user, director, url, chosen):
    response = as_user(director).post(url, {**chosen, "octaves": "9", "tonic": "H", "marked_bpm": "0"})
    assert set(response.context["form"].errors) == {"octaves", "tonic", "marked_bpm"}
    assert not Excerpt.objects.exists()


def test_second_submit_finds_the_sheet_already_there(as_user, director, url, chosen):
    client = as_user(director)
    client.post(url, chosen)
    response = client.post(url, chosen, follow=True)
    assert Excerpt.objects.count() == 1
    assert "was in the library already" in response.content.decode()


def test_anonymous_is_asked_to_sign_in(as_user, studio, url):
    assert as_user(None).post(url).url.startswith(reverse("account_login"))


@pytest.mark.parametrize("who", ["teacher", "student_user", "guardian"])
def test_only_directors_make_sheets(as_user, request, url, chosen, who):
    assert as_user(request.getfixturevalue(who)).post(url, chosen).status_code == 403
    assert not Excerpt.objects.exists()


def test_another_tempo_is_printed_on_the_same_notes(as_user, director, url, chosen):
    client = as_user(director)
    client.post(url, chosen)
    before = Excerpt.objects.get()
    edit = reverse("excerpt_edit", args=[before.pk])
    changed = {"title": before.title, "marked_bpm": "92", "beat_unit": "1.0", "temperament": "equal"}
    assert client.post(edit, changed).status_code == 302
    after = Excerpt.objects.get()
    assert [mark.bpm for mark in after.score.tempo_marks] == [92]
    assert after.score.notes == before.score.notes
    client.post(url, chosen)
    response = client.post(edit, {**changed, "marked_bpm": "80"})
    assert "in this tempo already" in response.context["form"].errors["marked_bpm"][0]
    assert Excerpt.objects.get(pk=after.pk).score.tempo_marks[0].bpm == 92


def test_pattern_rhythm_and_slurs_are_written_and_kept(as_user, director, url, chosen):
    more = {"pattern": "thirds", "rhythm": "dotted", "slur": "two_two", "octaves": "0", "raised": "1"}
    as_user(director).post(url, {**chosen, **more})
    excerpt = Excerpt.objects.get()
    assert excerpt.title == "B flat melodic minor in thirds, two octaves, with arpeggio"
    assert excerpt.scale_spec["slur"] == "two_two"
    assert excerpt.score.notes[0].midi == 70
    assert [note.duration_q for note in excerpt.score.notes[:2]] == [0.75, 0.25]


def test_temperament_is_the_instruments_where_none_is_chosen(as_user, director, url, chosen):
    client = as_user(director)
    client.post(url, {**chosen, "temperament": ""})
    client.post(url, {**chosen, "instrument": "flute", "temperament": ""})
    found = dict(Excerpt.objects.values_list("instrument", "temperament"))
    assert found == {"violin": "pythagorean", "flute": "equal"}
