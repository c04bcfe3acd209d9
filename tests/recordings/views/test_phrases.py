import pytest
from django.urls import reverse

from recordings.models import Phrase, Remark, Review
from recordings.reviews.draft import draft_review
from recordings.reviews.page import remark_fields
from recordings.reviews.phrases import MOST_PHRASES, offers_for, with_places
from tests.recordings.conftest import plain_take
from tests.recordings.measured_take import make_take


@pytest.fixture
def take(entry, requirement):
    take = make_take(entry, requirement)
    take.analysis.result["findings"][0] |= {"kind": "intonation", "bars": "1-2", "bar_list": ["1", "2"]}
    take.analysis.save()
    return take


@pytest.fixture
def offered(take):
    """`offered(teacher)`: what the desk offers for the drafted remark on intonation."""
    review = draft_review(take, take.analysis.result)

    def of(user) -> list[str]:
        fields = remark_fields(review)
        return offers_for(take, fields, user)[fields[0].key]

    return of


def answered(entry, requirement, teacher, *, text: str, kind="intonation", number=1, **more) -> Remark:
    """An earlier answer of this teacher with one remark in the teacher's own words."""
    other = plain_take(entry, requirement, minutes_ago=60 * number, sha256=str(number) * 64)
    review = Review.objects.create(take=other, state=Review.State.RELEASED, reviewer=teacher)
    finding = {"kind": kind, "bars": "7-8", "text": "Drafted."}
    fields = {"bars": "7-8", "own_text": text, "finding": finding, "verdict": Remark.Verdict.KEPT, **more}
    return review.remarks.create(**fields)


def test_own_phrases_come_before_the_studios_and_only_those_on_the_matter(offered, teacher, other_teacher):
    Phrase.objects.create(owner=teacher, topic="intonation", text="Sing {bars} first.")
    Phrase.objects.create(owner=teacher, topic="tempo", text="With a metronome.")
    Phrase.objects.create(owner=other_teacher, topic="intonation", text="Not yours.")
    Phrase.objects.create(topic="any", text="Slowly, twice a day.")
    assert offered(teacher) == ["Sing {bars} first.", "Slowly, twice a day."]


def test_the_notes_it_is_about_are_named_in_both_languages_places(offered, teacher):
    Phrase.objects.create(owner=teacher, topic="intonation", text="Hear {notes} in {bars}.")
    Phrase.objects.create(owner=teacher, topic="intonation", text="Hör {Töne} in {Takte}.")
    english, german = sorted(offered(teacher))
    names = english.removeprefix("Hear ").removesuffix(" in {bars}.")
    assert names.startswith("A")  # every third note of the made take is 20 cents low
    assert german == f"Hör {names} in {{bars}}."


def test_what_one_wrote_about_the_same_thing_before_is_offered_with_the_bars_of_now(
    offered, entry, requirement, teacher, other_teacher
):
    answered(entry, requirement, teacher, text="In bars 7-8 lean on the open string.")
    answered(entry, requirement, teacher, text="On tempo.", kind="tempo_slow", number=2)
    answered(entry, requirement, teacher, text="Left out.", number=3, verdict=Remark.Verdict.DROPPED)
    answered(entry, requirement, other_teacher, text="By another.", number=4)
    assert offered(teacher) == ["In {bars} lean on the open string."]


def test_of_earlier_words_the_latest_three(offered, entry, requirement, teacher):
    for number in range(1, 6):
        answered(entry, requirement, teacher, text=f"Number {number}.", number=number)
    assert len(offered(teacher)) == 3


@pytest.mark.parametrize(
    ("text", "bars", "phrase"),
    [
        ("In bars 7-8 sing.", "7-8", "In {bars} sing."),
        ("Takt 7 leiser.", "7", "{bars} leiser."),
        ("Bar 70 softer.", "7", "Bar 70 softer."),
        ("Softer.", "", "Softer."),
    ],
)
def test_bars_in_ones_own_words_become_a_place(text, bars, phrase):
    assert with_places(text, bars) == phrase


def test_the_desk_asks_as_often_for_many_phrases_as_for_none(
    offered, entry, requirement, teacher, django_assert_num_queries
):
    fields_and_offers = 3
    with django_assert_num_queries(fields_and_offers):
        offered(teacher)
    Phrase.objects.bulk_create(Phrase(owner=teacher, text=f"Phrase {n}.") for n in range(30))
    answered(entry, requirement, teacher, text="Earlier.")
    with django_assert_num_queries(fields_and_offers):
        assert len(offered(teacher)) == 31
    assert MOST_PHRASES > 30


def test_a_teacher_adds_changes_and_removes_a_phrase(as_user, teacher):
    browser = as_user(teacher)
    browser.post(reverse("phrase_add"), {"text": "  Sing it first. ", "topic": "rhythm", "for_studio": "on"})
    phrase = Phrase.objects.get()
    assert (phrase.owner, phrase.text, phrase.topic) == (teacher, "Sing it first.", "rhythm")
    browser.post(reverse("phrase_edit", args=[phrase.pk]), {"text": "Clap it first.", "topic": "any"})
    assert "Clap it first." in browser.get(reverse("phrase_list")).content.decode()
    browser.post(reverse("phrase_remove", args=[phrase.pk]))
    assert not Phrase.objects.exists()


def test_the_studios_phrases_are_a_directors_and_read_by_all_teachers(as_user, director, teacher):
    as_user(director).post(reverse("phrase_add"), {"text": "For all.", "topic": "any", "for_studio": "on"})
    phrase = Phrase.objects.get()
    assert phrase.owner is None
    page = as_user(teacher).get(f"{reverse('phrase_list')}?show=studio").content.decode()
    assert "For all." in page
    assert reverse("phrase_edit", args=[phrase.pk]) not in page
    as_user(director).post(reverse("phrase_edit", args=[phrase.pk]), {"text": "Mine now.", "topic": "any"})
    phrase.refresh_from_db()
    assert phrase.owner == director


def test_an_empty_or_endless_phrase_is_said_at_its_field(as_user, teacher):
    for text in ("", "x" * 601):
        page = as_user(teacher).post(reverse("phrase_add"), {"text": text, "topic": "any"})
        assert page.status_code == 200
        assert text in page.content.decode()
    assert not Phrase.objects.exists()


def test_the_list_is_paged_and_asks_as_often_for_many(as_user, teacher, django_assert_max_num_queries):
    Phrase.objects.bulk_create(Phrase(owner=teacher, text=f"Phrase {n:02}.") for n in range(30))
    browser = as_user(teacher)
    with django_assert_max_num_queries(8):
        page = browser.get(reverse("phrase_list")).content.decode()
    assert "Phrase 24." in page
    assert "Phrase 25." not in page
    assert "Phrase 29." in browser.get(f"{reverse('phrase_list')}?page=2").content.decode()
