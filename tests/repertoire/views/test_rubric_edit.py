"""Adding and changing marking forms with their captions."""

import html

import pytest
from django.urls import reverse

from recordings.models import Mark, Review, Take
from repertoire.models import Rubric

pytestmark = pytest.mark.django_db
NEW_ROW = {
    "id": "",
    "position": "",
    "name": "",
    "low": "1",
    "high": "10",
    "step": "1",
    "weight": "1",
    "decides": "",
    "measured": "",
    "descriptors": "",
}


def posted(*rows: dict, initial: int = 0, **form) -> dict:
    """What the page sends: the form's own fields and its rows of captions."""
    data = {"name": "Live form", "serves": "etude", "notes": "For the hall", **form}
    data |= {"captions-TOTAL_FORMS": str(len(rows)), "captions-INITIAL_FORMS": str(initial)}
    for number, row in enumerate(rows):
        data |= {f"captions-{number}-{name}": value for name, value in {**NEW_ROW, **row}.items()}
    return data


def as_rows(rubric: Rubric) -> list[dict]:
    return [
        {"id": caption.pk, "name": caption.name, "position": caption.position, "measured": caption.measured}
        for caption in rubric.captions.all()
    ]


@pytest.fixture
def add():
    return reverse("rubric_add")


@pytest.fixture
def edit(rubric):
    return reverse("rubric_edit", args=[rubric.pk])


@pytest.fixture
def marked(rubric, requirement, entry, director):
    """A take marked on the form's first caption."""
    take = Take.objects.create(
        entry=entry,
        requirement=requirement,
        sha256="0" * 64,
        size=1,
        media_type="audio/flac",
        uploaded_by=director,
    )
    review = Review.objects.create(take=take)
    return Mark.objects.create(review=review, caption=rubric.captions.first(), value=7)


def names(rubric: Rubric) -> list[str]:
    return [caption.name for caption in rubric.captions.order_by("position")]


def test_director_adds_a_form(as_user, director, add):
    client = as_user(director)
    assert client.get(add).status_code == 200
    response = client.post(
        add, posted({"name": "Rhythm", "position": "2"}, {"name": "Tone", "position": "1"}, {}, {})
    )
    rubric = Rubric.objects.get(name="Live form")
    assert response.url == reverse("rubric_detail", args=[rubric.pk])
    assert names(rubric) == ["Tone", "Rhythm"]
    assert [caption.position for caption in rubric.captions.all()] == [1, 2]


def test_director_changes_adds_and_removes_captions(as_user, director, edit, rubric):
    rows = as_rows(rubric)
    rows[0]["name"] = "Sound"
    rows[2]["DELETE"] = "on"
    response = as_user(director).post(
        edit, posted(*rows, {"name": "Style", "high": "5.5", "step": "0.5"}, initial=3)
    )
    assert response.status_code == 302
    assert names(rubric) == ["Sound", "Intonation", "Style"]
    assert Rubric.objects.get(pk=rubric.pk).name == "Live form"


def test_second_submit_of_a_change_changes_nothing_more(as_user, director, edit, rubric):
    client = as_user(director)
    for _ in range(2):
        client.post(edit, posted(*as_rows(rubric), initial=3))
    assert names(rubric) == ["Tone", "Intonation", "Musicality"]


def test_bad_input_is_shown_and_kept(as_user, director, add):
    response = as_user(director).post(
        add, posted({"name": "Rhythm", "low": "10", "high": "1", "descriptors": "my own words"})
    )
    text = html.unescape(response.content.decode())
    assert "The highest mark must be above the lowest." in text
    for kept in ("Live form", "For the hall", "Rhythm", "my own words"):
        assert kept in text
    assert not Rubric.objects.filter(name="Live form").exists()


@pytest.mark.parametrize(
    ("rows", "sentence"),
    [
        ([{"name": "Tone", "step": "4"}], "Steps of this size"),
        ([{"name": "Tone", "step": "0"}], "greater than or equal to 0.1"),
        ([{"name": "Tone"}, {"name": "tone "}], "Two captions have the same name."),
        ([{}, {}], "at least one caption"),
        ([{"descriptors": "no name"}], "This field is required."),
    ],
)
def test_what_cannot_be_marked_on_is_refused(as_user, director, add, rows, sentence):
    response = as_user(director).post(add, posted(*rows))
    assert sentence in html.unescape(response.content.decode())
    assert not Rubric.objects.filter(name="Live form").exists()


def test_captions_of_another_form_cannot_be_taken(as_user, director, edit, rubric):
    other = Rubric.objects.create(name="Other").captions.create(name="Theirs")
    rows = as_rows(rubric)
    rows[0]["id"] = other.pk
    as_user(director).post(edit, posted(*rows, initial=3))
    other.refresh_from_db()
    assert other.name == "Theirs"


def test_teachers_may_look_but_not_change(as_user, teacher, add, edit, rubric):
    client = as_user(teacher)
    for url in (add, edit):
        assert client.get(url).status_code == 403
        assert client.post(url, posted({"name": "Mine"})).status_code == 403
    assert names(rubric) == ["Tone", "Intonation", "Musicality"]


@pytest.mark.parametrize("who", ["student_user", "guardian"])
def test_others_find_nothing(as_user, request, add, edit, who):
    client = as_user(request.getfixturevalue(who))
    assert client.post(add, posted({"name": "Mine"})).status_code == 403
    assert client.post(edit, posted({"name": "Mine"})).status_code == 404


def test_anonymous_is_asked_to_sign_in(as_user, add, edit):
    for url in (add, edit):
        assert as_user(None).post(url).url.startswith(reverse("account_login"))


def test_changing_a_marked_form_makes_a_new_version_and_leaves_the_marked_one(
    as_user, director, edit, rubric, requirement, marked
):
    rows = as_rows(rubric)
    rows[0] |= {"high": "5", "name": "Sound", "decides": "1"}
    rows[2]["DELETE"] = "on"
    response = as_user(director).post(edit, posted(*rows, initial=3), follow=True)
    assert "has a new version" in html.unescape(response.content.decode())
    newer = Rubric.objects.get(replaces=rubric)
    assert (newer.version, names(newer)) == (2, ["Sound", "Intonation"])
    assert names(rubric) == ["Tone", "Intonation", "Musicality"]
    requirement.refresh_from_db()
    assert requirement.rubric == newer
    marked.refresh_from_db()
    assert (marked.caption.name, marked.caption.high, marked.value) == ("Tone", 10, 7)
    assert [caption.name for caption in newer.deciding_captions] == ["Sound"]


def test_only_the_current_version_is_listed_and_changed(as_user, director, edit, rubric, marked):
    client = as_user(director)
    rows = as_rows(rubric)
    rows[0]["high"] = "5"
    client.post(edit, posted(*rows, initial=3))
    response = client.post(edit, posted(*rows, initial=3))
    assert "There is a newer version of this form" in response.content.decode()
    assert Rubric.objects.filter(name="Live form").count() == 2
    listed = client.get(reverse("rubric_list")).content.decode()
    newer = Rubric.objects.get(replaces=rubric)
    assert reverse("rubric_detail", args=[newer.pk]) in listed
    assert reverse("rubric_detail", args=[rubric.pk]) + '"' not in listed
    old = client.get(reverse("rubric_detail", args=[rubric.pk])).content.decode()
    assert "This version stays for the reviews that were marked with it." in old


def test_name_and_total_of_a_marked_form_change_without_a_new_version(
    as_user, director, edit, rubric, marked
):
    as_user(director).post(edit, posted(*as_rows(rubric), initial=3, total_shown="on"))
    rubric.refresh_from_db()
    assert (rubric.name, rubric.total_shown, rubric.newer) == ("Live form", True, None)


def test_two_captions_cannot_decide_ties_at_the_same_place(as_user, director, add):
    rows = ({"name": "Tone", "decides": "1"}, {"name": "Time", "decides": "1"})
    response = as_user(director).post(add, posted(*rows))
    assert "Two captions decide ties at the same place." in html.unescape(response.content.decode())


def test_the_total_is_weighted_and_waits_for_every_mark(rubric):
    first, second, third = rubric.captions.all()
    first.weight = 2
    first.save()
    marks = {first.pk: 7, second.pk: 5}
    assert rubric.total(marks) is None
    total = rubric.total({**marks, third.pk: 8})
    assert (total.value, total.out_of) == (27, 40)
