from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from recordings.models import Analysis, Mark, Review
from repertoire.notation.write.tempo_changes import TempoChange, write_tempos
from tests.recordings.conftest import finish, plain_take


@pytest.fixture
def url(entry, requirement):
    return reverse("requirement_takes", args=[entry.pk, requirement.pk])


def words(response) -> str:
    return response.content.decode()


def test_works(as_user, student_user, url, requirement):
    page = words(as_user(student_user).get(url))
    assert "Lamp Etude" in page
    assert reverse("excerpt_svg", args=[requirement.excerpt.pk]) in page
    assert 'enctype="multipart/form-data"' in page
    assert "No take yet." in page
    assert "all 4 bars, repeats, quarter note = 88 to 104, by " in page


def test_the_bars_asked_for_are_drawn(as_user, student_user, url, requirement):
    requirement.from_bar, requirement.to_bar = "2", "3"
    requirement.save()
    assert "&amp;from=2&amp;to=3" in words(as_user(student_user).get(url))


@pytest.mark.parametrize(
    ("first", "last", "sentence"),
    [
        ("", "", "Play the whole piece in one go."),
        ("2", "3", "Play bars 2 to 3 in one go."),
        ("2", "2", "Play bar 2, nothing more."),
    ],
)
def test_what_is_to_be_played_in_one_go(as_user, student_user, url, requirement, first, last, sentence):
    requirement.from_bar, requirement.to_bar = first, last
    requirement.save()
    assert sentence in words(as_user(student_user).get(url))


def test_the_auditions_rules_stand_beside_the_file(as_user, student_user, url, audition):
    heading = "Notes on this audition"
    assert heading not in words(as_user(student_user).get(url))
    audition.notes = "No spoken name.\nOne file <each>."
    audition.save()
    page = words(as_user(student_user).get(url))
    assert heading in page
    assert "No spoken name.<br>One file &lt;each&gt;." in page


def takes_of(page: str) -> list[str]:
    """The rows of the history, latest first."""
    return page.split('<tr data-take="')[1:]


def test_the_history_stands_over_time_by_sitting(as_user, student_user, url, entry, requirement):
    for number, minutes in enumerate((0, 20, 120)):
        plain_take(entry, requirement, minutes_ago=minutes, sha256=str(number) * 64)
    page = words(as_user(student_user).get(url))
    assert page.count('class="sitting"') == 2
    assert len(takes_of(page)) == 3


def test_the_history_says_tempo_share_and_marks(as_user, student_user, url, entry, requirement):
    take = plain_take(entry, requirement)
    finish(take, metronome_bpm=91.6, share_played=0.98)
    answer(take, value=8)
    [row] = takes_of(words(as_user(student_user).get(url)))
    for said in ("92", "98 %", "Tone 8, Intonation 8, Musicality 8"):
        assert said in row


def test_marks_of_a_draft_are_not_in_the_history(as_user, student_user, url, entry, requirement):
    take = plain_take(entry, requirement)
    finish(take)
    answer(take, value=8, state=Review.State.DRAFT)
    assert "Tone 8" not in words(as_user(student_user).get(url))


def test_only_the_take_the_teacher_will_hear_waits(as_user, student_user, url, entry, requirement):
    for number, minutes in enumerate((0, 20)):
        finish(plain_take(entry, requirement, minutes_ago=minutes, sha256=str(number) * 64))
    latest, earlier = takes_of(words(as_user(student_user).get(url)))
    assert "waits for the teacher" in latest
    assert "your later take is heard instead" in earlier


def test_the_latest_answer_stands_before_the_recorder_and_the_music(
    as_user, student_user, url, entry, requirement
):
    take = plain_take(entry, requirement, minutes_ago=90)
    finish(take)
    answer(take, value=8, words="Let the long notes ring.")
    finish(plain_take(entry, requirement, sha256="1" * 64))
    page = words(as_user(student_user).get(url))
    places = [
        page.index(mark)
        for mark in ("Let the long notes ring.", "data-recorder", '<tr data-take="', 'class="score')
    ]
    assert places == sorted(places)
    assert reverse("take_detail", args=[take.pk]) in page


def test_one_print_button_has_its_choices(as_user, student_user, url, entry, requirement):
    page = words(as_user(student_user).get(url))
    address = reverse("requirement_print", args=[entry.pk, requirement.pk])
    assert page.count(f'action="{address}"') == 1
    assert '<select name="paper"' in page
    assert 'name="numbers" value="every"' in page


def answer(take, *, value: int, state=Review.State.RELEASED, words: str = "") -> Review:
    review = Review.objects.create(take=take, state=state, words=words, released_at=timezone.now())
    for caption in take.requirement.rubric.captions.all():
        Mark.objects.create(review=review, caption=caption, value=value)
    return review


@pytest.mark.parametrize("person", ["guardian", "teacher", "director"])
def test_others_who_see_it(request, as_user, person, url):
    page = as_user(request.getfixturevalue(person)).get(url)
    assert page.status_code == 200
    assert 'type="file"' in words(page)


def test_only_those_who_teach_get_to_the_review(as_user, teacher, student_user, url, entry, requirement):
    take = plain_take(entry, requirement)
    Analysis.objects.update(state=Analysis.State.DONE)
    review = reverse("review", args=[take.pk])
    assert review in words(as_user(teacher).get(url))
    assert review not in words(as_user(student_user).get(url))


@pytest.mark.parametrize("person", ["other_student_user", "other_guardian", "other_teacher"])
def test_strangers(request, as_user, person, url):
    assert as_user(request.getfixturevalue(person)).get(url).status_code == 404


def test_anonymous(as_user, url):
    assert as_user(None).get(url).status_code == 302


def test_only_for_reading(as_user, student_user, url):
    assert as_user(student_user).post(url).status_code == 405


def test_a_requirement_of_another_level_is_not_found(as_user, student_user, url, requirement):
    requirement.level = "junior"
    requirement.save()
    assert as_user(student_user).get(url).status_code == 404


def test_after_the_closing_time(as_user, student_user, url, audition):
    audition.closes_at = timezone.now() - timedelta(hours=1)
    audition.save()
    page = words(as_user(student_user).get(url))
    assert "This audition closed on" in page
    assert 'type="file"' not in page


def test_without_consent_the_guardian_is_led_to_it(as_user, student_user, guardian, url, student):
    student.consents.get().withdraw()
    consent = reverse("consent", args=[student.pk])
    assert "guardian has to agree" in words(as_user(student_user).get(url))
    assert consent not in words(as_user(student_user).get(url))
    assert consent in words(as_user(guardian).get(url))


def test_the_number_of_queries_does_not_grow(as_user, teacher, url, entry, requirement):
    client = as_user(teacher)
    counts = []
    for start in (0, 3):
        for number in range(start, start + 3):
            take = plain_take(entry, requirement, minutes_ago=number * 50, sha256=str(number) * 64)
            finish(take)
            answer(take, value=8)
        with CaptureQueriesContext(connection) as queries:
            assert client.get(url).status_code == 200
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_changes_of_tempo_inside_the_asked_bars_are_shown(as_user, student_user, url, requirement):
    changes = [TempoChange("2", bpm=60.0, beat_unit_q=1.5), TempoChange("4", word="rit.")]
    requirement.excerpt.musicxml = write_tempos(requirement.excerpt.musicxml, changes)
    requirement.excerpt.save()
    requirement.from_bar, requirement.to_bar = "1", "3"
    requirement.save()
    page = words(as_user(student_user).get(url))
    assert "From bar 2: dotted quarter note = 60." in page
    assert "rit." not in page


def test_the_tempo_that_held_is_told_with_what_it_rests_on(as_user, student_user, url, entry, requirement):
    for number, (bpm, right) in enumerate([(72.0, 1.0), (84.0, 0.99), (97.0, 0.88)]):
        take = plain_take(entry, requirement, minutes_ago=900 - 100 * number, sha256=f"{number:064}")
        finish(take, metronome_bpm=bpm, right_share=right, in_tune_share=0.9)
    page = words(as_user(student_user).get(url))
    assert "The playing held up to 84. At 97 more notes were wrong, missing or out of tune." in page
    assert "bpm=84" in page
    assert "Rests on 3 takes" in page
    assert "in a row" not in page


def test_nothing_is_told_of_two_takes(as_user, student_user, url, entry, requirement):
    for number, bpm in enumerate([72.0, 84.0]):
        finish(plain_take(entry, requirement, sha256=f"{number:064}"), metronome_bpm=bpm, right_share=1.0)
    assert "The playing held" not in words(as_user(student_user).get(url))


def test_a_rest_is_suggested_to_the_player_alone(as_user, student_user, teacher, url, entry, requirement):
    for number in range(4):
        plain_take(entry, requirement, minutes_ago=20 - 5 * number, sha256=f"{number:064}")
    assert "4 takes in a row. Rest some minutes" in words(as_user(student_user).get(url))
    assert "in a row" not in words(as_user(teacher).get(url))
