from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from repertoire.models import Excerpt
from studio.forms.requirement_many import ManyRequirementsForm
from studio.models import Audition, Entry, Requirement, Season
from tests.studio.test_seasons import DIRECTOR_ONLY


def words(response) -> str:
    return response.content.decode()


@pytest.fixture
def plain(audition) -> str:
    return f"/auditions/{audition.pk}/requirements/many/"


@pytest.fixture
def url(plain) -> str:
    return f"{plain}?instrument=violin&instrument=cello"


@pytest.fixture
def music(excerpt) -> list[Excerpt]:
    """Two sheets for violin and two for cello, beside the etude for violin."""
    made = []
    for instrument in ("violin", "cello"):
        for number in (1, 2):
            excerpt.pk, excerpt.instrument = None, instrument
            excerpt.kind, excerpt.title = Excerpt.Kind.SCALE, f"Scale {number}"
            excerpt.marked_bpm = 60 + number
            excerpt.save()
            made.append(Excerpt.objects.get(pk=excerpt.pk))
    return made


@pytest.fixture
def good(audition, music, rubric) -> dict:
    due = timezone.localtime(audition.closes_at - timedelta(days=3))
    return {
        "excerpts": [sheet.pk for sheet in music],
        "levels": "junior, senior",
        "rubric": rubric.pk,
        "played": "printed",
        "due_at": due.strftime("%Y-%m-%dT%H:%M"),
    }


def test_who_changes(statuses, plain, url, music):
    assert statuses(plain) == DIRECTOR_ONLY
    assert statuses(url) == DIRECTOR_ONLY


def test_an_unknown_audition(as_user, director):
    assert as_user(director).get("/auditions/999/requirements/many/").status_code == 404


def test_the_instruments_come_first_and_those_entered_are_ticked(as_user, director, plain, music, entry):
    page = words(as_user(director).get(plain))
    assert 'value="violin" id="id_instrument_1" checked' in page
    assert 'value="cello"' in page
    assert 'value="flute"' not in page
    assert page.count("checked") == 1


@pytest.mark.parametrize("asked", ["?instrument=flute", "?instrument=nonsense"])
def test_an_instrument_without_music_is_asked_again(as_user, director, plain, music, asked):
    response = as_user(director).get(plain + asked)
    assert response.status_code == 200
    assert "Choose the music" in words(response)


def test_without_any_music(as_user, director, plain):
    assert "There is no music yet." in words(as_user(director).get(plain))


def test_all_are_made_at_once(as_user, director, audition, url, good, music):
    response = as_user(director).post(url, good, follow=True)
    assert response.redirect_chain[-1][0] == f"/auditions/{audition.pk}/"
    assert "8 requirements are saved." in words(response)
    made = set(Requirement.objects.values_list("instrument", "level", "excerpt"))
    assert made == {(sheet.instrument, level, sheet.pk) for sheet in music for level in ("junior", "senior")}


def test_each_has_the_tempo_of_its_music(as_user, director, url, good, music):
    as_user(director).post(
        url, {**good, "excerpts": [music[1].pk], "levels": "senior", "played": "last_endings"}
    )
    made = Requirement.objects.get()
    assert (made.marked_bpm, made.low_bpm, made.high_bpm) == (Decimal(62), Decimal(57), Decimal(67))
    assert (made.with_repeats, made.bars, made.order_line) == (False, None, "")
    made.full_clean()


def test_sent_again_it_doubles_nothing(as_user, director, url, good, music):
    client = as_user(director)
    client.post(url, {**good, "excerpts": [music[0].pk]})
    response = client.post(url, good, follow=True)
    assert "6 requirements are saved. 2 were there already and stay as they are." in words(response)
    response = client.post(url, good, follow=True)
    assert "0 requirements are saved. 8 were there already" in words(response)
    assert Requirement.objects.count() == 8


def test_a_passage_of_the_same_music_is_another_requirement(as_user, director, url, good, music):
    client = as_user(director)
    one = {**good, "excerpts": [music[0].pk], "levels": "senior"}
    client.post(url, one)
    Requirement.objects.update(from_bar="1", to_bar="2")
    client.post(url, one)
    assert Requirement.objects.count() == 2


def test_a_level_keeps_the_spelling_in_use(as_user, director, url, good, requirement):
    as_user(director).post(url, {**good, "levels": "SENIOR, senior ,  Ensemble,"})
    assert set(Requirement.objects.values_list("level", flat=True)) == {"senior", "Ensemble"}


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"excerpts": []}, "excerpts"),
        ({"excerpts": [99999]}, "excerpts"),
        ({"levels": " , "}, "levels"),
        ({"levels": "senior, " + "x" * 41}, "levels"),
        ({"rubric": ""}, "rubric"),
        ({"due_at": ""}, "due_at"),
        ({"due_at": "2150-01-01T10:00"}, "due_at"),
        ({"played": "first_endings"}, "played"),
    ],
)
def test_what_is_wrong_is_told_at_its_field_and_nothing_is_made(as_user, director, url, good, changed, field):
    response = as_user(director).post(url, {**good, **changed})
    assert field in response.context["form"].errors
    assert not Requirement.objects.exists()


def test_music_of_an_instrument_not_chosen_is_refused(as_user, director, plain, good):
    response = as_user(director).post(f"{plain}?instrument=violin", good)
    assert "excerpts" in response.context["form"].errors


def test_what_was_typed_is_kept(as_user, director, url, good, music):
    page = words(as_user(director).post(url, {**good, "levels": "junior, " + "x" * 41}))
    assert "One level is longer than 40 characters." in page
    assert page.count("checked") == len(music)
    assert "junior, xxx" in page


@pytest.mark.parametrize("days", [-1, -40])
def test_a_deadline_that_may_be_a_slip_is_asked_about(as_user, director, url, good, days):
    day = timezone.localtime(timezone.now() + timedelta(days=days)).strftime("%Y-%m-%dT%H:%M")
    client = as_user(director)
    response = client.post(url, {**good, "due_at": day})
    assert "due_at" in response.context["form"].errors
    assert not Requirement.objects.exists()
    client.post(url, {**good, "due_at": day, "due_at_meant": day})
    assert Requirement.objects.count() == 8


def test_music_nobody_has_confirmed_is_not_offered(as_user, director, url, music):
    Excerpt.objects.filter(pk=music[0].pk).update(order_confirmed=False)
    page = words(as_user(director).get(url))
    assert "1 more piece is not offered" in page
    assert f'name="excerpts" value="{music[0].pk}"' not in page
    assert f'name="excerpts" value="{music[1].pk}"' in page


def test_the_last_values_are_offered(as_user, director, url, good, music, requirement, rubric, season):
    Requirement.objects.update(level="advanced", with_repeats=False)
    form = as_user(director).get(url).context["form"]
    assert form.initial["due_at"] == requirement.due_at
    assert (form.initial["levels"], form.initial["rubric"], form.initial["played"]) == (
        "advanced",
        rubric.pk,
        "last_endings",
    )
    other = Audition.objects.create(
        season=Season.objects.get(),
        name="Second",
        held_on=requirement.audition.held_on,
        closes_at=requirement.audition.closes_at - timedelta(days=5),
    )
    form = as_user(director).get(f"/auditions/{other.pk}/requirements/many/?instrument=cello").context["form"]
    assert form.initial["levels"] == "advanced"
    assert form.initial["due_at"] == other.closes_at - timedelta(days=7)


def test_too_many_at_once(as_user, director, url, good, monkeypatch):
    monkeypatch.setattr("studio.forms.requirement_many.MOST_AT_ONCE", 7)
    response = as_user(director).post(url, good)
    assert response.context["form"].errors["excerpts"] == [
        "At most 7 requirements at once; please do it in two steps."
    ]


def test_all_or_none(as_user, director, url, good, music, monkeypatch):
    made = ManyRequirementsForm._made

    def falls_over(self, excerpt, level):
        requirement = made(self, excerpt, level)
        requirement.low_bpm = 500 if excerpt == music[-1] else requirement.low_bpm
        return requirement

    monkeypatch.setattr(ManyRequirementsForm, "_made", falls_over)
    with pytest.raises(IntegrityError), transaction.atomic():
        as_user(director).post(url, good)
    assert not Requirement.objects.exists()


@pytest.mark.parametrize("levels", ["senior", "a, b, c, d, e"])
def test_the_number_of_queries_does_not_grow(as_user, director, url, good, levels):
    client = as_user(director)
    client.get(url)
    with CaptureQueriesContext(connection) as queries:
        client.post(url, {**good, "levels": levels})
    assert Requirement.objects.count() == 4 * len(levels.split(","))
    saved = [one for one in queries.captured_queries if one["sql"].startswith('INSERT INTO "studio_req')]
    assert len(saved) == 1


def test_the_audition_leads_here(as_user, director, teacher, audition, plain):
    assert f'href="{plain}"' in words(as_user(director).get(f"/auditions/{audition.pk}/"))
    assert f'href="{plain}"' not in words(as_user(teacher).get(f"/auditions/{audition.pk}/"))


def test_the_new_ones_reach_the_students_entered(as_user, director, url, good, student, audition):
    entry = Entry.objects.create(student=student, audition=audition, instrument="violin", level="senior")
    as_user(director).post(url, good)
    assert entry.requirements.count() == 2
