from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from recordings.models import Take
from repertoire.models import Excerpt
from studio.models import Requirement
from tests.studio.test_seasons import DIRECTOR_ONLY


@pytest.fixture
def url(audition):
    return f"/auditions/{audition.pk}/requirements/new/?instrument=violin"


@pytest.fixture
def good(audition, excerpt, rubric):
    due = audition.closes_at - timedelta(days=3)
    return {
        "excerpt": excerpt.pk,
        "level": "senior",
        "rubric": rubric.pk,
        "from_bar": "",
        "to_bar": "",
        "played": "printed",
        "marked_bpm": "92",
        "low_bpm": "84",
        "high_bpm": "100",
        "due_at": due.strftime("%Y-%m-%dT%H:%M"),
    }


@pytest.fixture
def take(entry, requirement, student_user):
    return Take.objects.create(
        entry=entry, requirement=requirement, uploaded_by=student_user, sound="x", sha256="0", size=1
    )


def test_who_changes(statuses, audition, requirement):
    assert statuses(f"/auditions/{audition.pk}/requirements/new/") == DIRECTOR_ONLY
    assert statuses(f"/requirements/{requirement.pk}/edit/") == DIRECTOR_ONLY


def test_the_instrument_comes_first(director, audition, as_user):
    page = as_user(director).get(f"/auditions/{audition.pk}/requirements/new/")
    assert "Choose the music" in page.text


def test_only_the_instruments_music_is_on_offer(director, excerpt, url, as_user):
    other = Excerpt.objects.get()
    other.pk, other.instrument, other.title = None, "cello", "Cellar Etude"
    other.save()
    page = as_user(director).get(url).text
    assert "Lamp Etude (quarter note = 96)" in page
    assert "Cellar Etude" not in page


def test_another_instruments_music_is_refused(director, url, good, as_user):
    other = Excerpt.objects.get()
    other.pk, other.instrument = None, "cello"
    other.save()
    page = as_user(director).post(url, {**good, "excerpt": other.pk})
    assert "excerpt" in page.context["form"].errors


def test_a_requirement_is_added(director, audition, url, good, as_user):
    response = as_user(director).post(url, good)
    assert response.url == f"/auditions/{audition.pk}/"
    requirement = Requirement.objects.get()
    assert (requirement.instrument, requirement.level) == ("violin", "senior")
    assert (requirement.low_bpm, requirement.marked_bpm, requirement.high_bpm) == (84, 92, 100)
    assert requirement.bars is None


def test_an_empty_tempo_takes_the_printed_one(director, url, good, as_user):
    as_user(director).post(url, {**good, "marked_bpm": ""})
    assert Requirement.objects.get().marked_bpm == Decimal("96")


def test_bars_are_checked_against_the_print(director, url, good, as_user):
    page = as_user(director).post(url, {**good, "from_bar": "2", "to_bar": "9"})
    assert page.context["form"].errors == {"to_bar": ["Bar 9 is not in this score, which has bars 1 to 4."]}
    as_user(director).post(url, {**good, "from_bar": "2", "to_bar": "3"})
    assert Requirement.objects.get().bars == ("2", "3")


def test_one_bar_alone_is_refused(director, url, good, as_user):
    page = as_user(director).post(url, {**good, "from_bar": "2"})
    assert "both bars" in page.context["form"].errors["to_bar"][0]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"low_bpm": "95"}, "low_bpm"),
        ({"high_bpm": "90"}, "high_bpm"),
        ({"marked_bpm": "3"}, "marked_bpm"),
        ({"level": ""}, "level"),
        ({"rubric": ""}, "rubric"),
        ({"due_at": "2099-01-01T10:00"}, "due_at"),
    ],
)
def test_bad_input_is_shown_beside_its_field(director, url, good, change, field, as_user):
    page = as_user(director).post(url, {**good, **change})
    assert page.status_code == 200
    assert list(page.context["form"].errors) == [field]
    assert not Requirement.objects.exists()


def test_the_same_requirement_sent_twice_is_one(director, url, good, as_user):
    for _ in range(2):
        page = as_user(director).post(url, good)
    assert "already asks for this music" in page.context["form"].errors["excerpt"][0]
    assert Requirement.objects.count() == 1
    assert as_user(director).post(url, {**good, "from_bar": "1", "to_bar": "2"}).status_code == 302


def test_music_whose_order_of_play_is_open_waits(director, excerpt, url, good, as_user):
    Excerpt.objects.update(order_confirmed=False)
    page = as_user(director).post(url, good)
    assert "not confirmed yet" in page.context["form"].errors["excerpt"][0]


def test_a_level_already_in_use_keeps_its_spelling(director, student, url, good, as_user):
    as_user(director).post(url, {**good, "level": " SENIOR "})
    assert Requirement.objects.get().level == student.level == "senior"


def test_what_measurements_rest_on_stays_once_a_take_is_in(director, requirement, take, good, as_user):
    page = as_user(director).get(f"/requirements/{requirement.pk}/edit/")
    assert "stay as they are" in page.text
    changed = {**good, "from_bar": "1", "to_bar": "2", "level": "junior", "high_bpm": "120"}
    as_user(director).post(f"/requirements/{requirement.pk}/edit/", changed)
    requirement.refresh_from_db()
    assert (requirement.bars, requirement.level) == (None, "senior")
    assert requirement.high_bpm == 120


def test_removing(director, audition, requirement, as_user):
    url = f"/requirements/{requirement.pk}/remove/"
    assert as_user(director).get(url).status_code == 405
    assert as_user(director).post(url).url == f"/auditions/{audition.pk}/"
    assert not Requirement.objects.exists()
    assert as_user(director).post(url).status_code == 404


def test_removing_is_refused_once_a_take_is_in(director, requirement, take, as_user):
    page = as_user(director).post(f"/requirements/{requirement.pk}/remove/", follow=True)
    assert "so it stays" in page.text
    assert Requirement.objects.exists()


def test_a_teacher_cannot_remove(teacher, requirement, as_user):
    assert as_user(teacher).post(f"/requirements/{requirement.pk}/remove/").status_code == 403


def test_what_is_left_open_is_filled_in(director, audition, url, good, as_user):
    page = as_user(director).get(url)
    week_before = (audition.closes_at - timedelta(days=7)).replace(microsecond=0, tzinfo=None)
    assert page.context["form"]["due_at"].value() == week_before
    as_user(director).post(url, {**good, "marked_bpm": "", "low_bpm": "", "high_bpm": ""})
    requirement = Requirement.objects.get()
    assert (requirement.low_bpm, requirement.marked_bpm, requirement.high_bpm) == (88, 96, 104)


@pytest.mark.parametrize(
    ("fields", "line", "text"),
    [
        ({}, "", "1-2, 1-2, 3-4"),
        ({"played": "last_endings"}, "", "1-4"),
        ({"leave_out": "3"}, "1-2, 1-2, 4", "1-2, 1-2, 4"),
        ({"from_bar": "2", "to_bar": "4", "leave_out": "3", "played": "last_endings"}, "2, 4", "2, 4"),
        ({"played": "line", "order_line": "1-2, 1, coda 4"}, "1-2, 1, 4", "1-2, 1, 4"),
    ],
)
def test_the_order_of_play_is_kept_as_chosen(director, url, good, as_user, audition, fields, line, text):
    assert as_user(director).post(url, {**good, **fields}).status_code == 302
    kept = audition.requirements.get()
    assert (kept.order_line, kept.order_text) == (line, text)
    edit = as_user(director).get(reverse("requirement_edit", args=[kept.pk]))
    assert edit.context["preview"].line == text


@pytest.mark.parametrize(
    ("fields", "name", "words"),
    [
        ({"played": "line", "order_line": "1-2, 9"}, "order_line", "“9”: Bar 9 is not in this score"),
        ({"played": "line"}, "order_line", "Please write the bars"),
        ({"played": "line", "order_line": "1," * 900}, "order_line", "longer than 2000 characters"),
        ({"order_line": "1-2"}, "played", "in the order written below"),
        ({"leave_out": "1-4"}, "leave_out", "leaves no bar"),
        ({"from_bar": "2", "leave_out": "3"}, "to_bar", "both bars"),
        ({"played": "backwards"}, "played", "valid choice"),
    ],
)
def test_what_cannot_be_read_is_shown_at_its_field(director, url, good, as_user, fields, name, words):
    page = as_user(director).post(url, {**good, **fields})
    assert list(page.context["form"].errors) == [name]
    assert words in page.context["form"].errors[name][0]
    if fields.get("order_line"):
        assert fields["order_line"] in page.content.decode()


def test_show_draws_what_is_asked_and_keeps_nothing(director, url, good, as_user, audition):
    page = as_user(director).post(url, {**good, "leave_out": "3", "show": "1"})
    preview = page.context["preview"]
    assert (preview.line, preview.bar_count, preview.unasked_count) == ("1-2, 1-2, 4", 5, 1)
    assert preview.duration_s == pytest.approx(20 * 60 / float(good["marked_bpm"]))
    assert preview.svg.count('class="measure unasked"') == 1
    assert not audition.requirements.exists()
