from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from recordings.analysis import sentences, stages
from recordings.models import Analysis, Mark, Remark, Review
from tests.recordings.conftest import finish, plain_take


@pytest.fixture
def url(take):
    return reverse("take_detail", args=[take.pk])


@pytest.fixture
def review(measured, teacher):
    review = Review.objects.create(
        take=measured, reviewer=teacher, words="A singing tone.", released_at=timezone.now()
    )
    for caption in measured.requirement.rubric.captions.all():
        Mark.objects.create(
            review=review,
            caption=caption,
            value=7,
            suggested_low=3,
            suggested_high=4,
            evidence="the evidence",
        )
    Remark.objects.create(
        review=review, bars="2-3", start_s=1.5, end_s=2.25, own_text="Let the C ring.", verdict="kept"
    )
    Remark.objects.create(review=review, own_text="Left out by the teacher.", verdict="dropped")
    return review


def release(review) -> None:
    review.state = Review.State.RELEASED
    review.save()


def words(response) -> str:
    return response.content.decode()


def test_while_it_waits(as_user, student_user, url, take):
    page = words(as_user(student_user).get(url))
    assert "This take waits its turn" in page
    assert f'hx-get="{reverse("take_progress", args=[take.pk])}' in page
    assert reverse("take_sound", args=[take.pk]) in page


def test_how_many_come_before(as_user, student_user, url, take, requirement, entry):
    earlier = plain_take(entry, requirement)
    Analysis.objects.filter(take=earlier).update(created_at=take.analysis.created_at - timedelta(minutes=1))
    assert "one take comes before it." in words(as_user(student_user).get(url))


def test_measured_and_not_answered(as_user, student_user, url, measured):
    page = words(as_user(student_user).get(url))
    assert "Now your teacher hears it" in page
    assert "hx-get" not in page


@pytest.mark.parametrize(
    ("check", "finding", "hint"),
    [
        (("problem", "Nothing to be heard."), ("not_recognised", "Another piece?"), "Nothing to be heard."),
        (("note", "A hum."), ("not_recognised", "Another piece?"), "Another piece?"),
        (("note", "A hum."), ("restart", "A new start."), None),
    ],
)
def test_a_recording_worth_sending_again_is_shown_at_once(
    as_user, student_user, url, measured, check, finding, hint
):
    measured.analysis.result = {
        "recording": {"checks": [{"verdict": check[0], "text": check[1]}]},
        "findings": [{"kind": finding[0], "text": finding[1]}],
    }
    measured.analysis.save()
    page = words(as_user(student_user).get(url))
    every = ("Nothing to be heard.", "Another piece?", "A hum.", "A new start.")
    assert [text for text in every if text in page] == ([hint] if hint else [])


def test_what_could_not_be_measured_says_why(as_user, student_user, url, take):
    take.analysis.mark_failed(sentences.NOT_AUDIO())
    page = words(as_user(student_user).get(url))
    assert "could not be read as sound or video" in page
    assert "can still hear this take" in page


@pytest.mark.parametrize("state", [Review.State.DRAFT, Review.State.WITHDRAWN])
@pytest.mark.parametrize("person", ["student_user", "guardian"])
def test_nothing_of_a_draft_is_seen(request, as_user, person, url, review, state):
    review.state = state
    review.save()
    page = words(as_user(request.getfixturevalue(person)).get(url))
    for unseen in ("A singing tone", "Let the C ring", "of 10", "the evidence", "Marks"):
        assert unseen not in page


def test_a_released_review(as_user, student_user, url, review):
    release(review)
    page = words(as_user(student_user).get(url))
    assert "A singing tone." in page
    assert "<strong>7</strong> of 10" in page
    assert page.index("A singing tone.") < page.index("<audio") < page.index("Let the C ring.")
    assert "Bars 2-3:" in page
    assert "Let the C ring." in page
    assert 'data-hear="[[1.5, 2.25]]"' in page


def test_the_music_is_there_to_read_the_answer_by(as_user, student_user, url, review, requirement):
    score = reverse("excerpt_svg", args=[requirement.excerpt_id])
    assert score not in words(as_user(student_user).get(url))
    release(review)
    requirement.from_bar, requirement.to_bar = "2", "3"
    requirement.save()
    page = words(as_user(student_user).get(url))
    assert score in page
    assert "&amp;from=2&amp;to=3" in page


@pytest.mark.parametrize(
    ("bars", "text", "place"),
    [
        ("4", "Let it ring.", "Bar 4"),
        ("2-3", "Let it ring.", "Bars 2-3"),
        ("4, 8", "Let it ring.", "Bars 4, 8"),
        ("4", "Bar 4: let it ring.", ""),
        ("4", "Takt 4: klingen lassen.", ""),
        ("", "Let it ring.", ""),
    ],
)
def test_bars_are_named_once(bars, text, place):
    assert Remark(bars=bars, own_text=text).place == place


def test_what_the_teacher_left_out_and_the_draft_stay_unseen(as_user, student_user, url, review):
    release(review)
    page = words(as_user(student_user).get(url))
    assert "Left out by the teacher" not in page
    assert "the evidence" not in page


def test_the_teacher_is_led_to_the_review(as_user, teacher, student_user, url, measured):
    address = reverse("review", args=[measured.pk])
    assert address in words(as_user(teacher).get(url))
    assert address not in words(as_user(student_user).get(url))
    assert "Measure again" not in words(as_user(student_user).get(url))


@pytest.mark.parametrize("person", ["other_student_user", "other_guardian", "other_teacher"])
def test_strangers(request, as_user, person, url):
    assert as_user(request.getfixturevalue(person)).get(url).status_code == 404


def test_anonymous(as_user, url):
    assert as_user(None).get(url).status_code == 302


def test_only_for_reading(as_user, student_user, url):
    assert as_user(student_user).post(url).status_code == 405


class TestProgress:
    @pytest.fixture
    def url(self, take):
        return reverse("take_progress", args=[take.pk])

    def test_the_stage_in_plain_words_and_percent(self, as_user, student_user, url, take):
        take.analysis.claim_for("one")
        take.analysis.write_heartbeat("one", stage=stages.ALIGNMENT, progress_percent=40)
        page = words(as_user(student_user).get(url))
        assert "Following the music bar by bar" in page
        assert "40 %" in page

    def test_nothing_new_sends_nothing(self, as_user, student_user, url, take):
        client = as_user(student_user)
        seen = client.get(url).context["seen"]
        assert client.get(url, {"seen": seen}).status_code == 204
        take.analysis.claim_for("one")
        assert client.get(url, {"seen": seen}).status_code == 200

    def test_the_end_stops_the_asking(self, as_user, student_user, url, take):
        client = as_user(student_user)
        seen = client.get(url).context["seen"]
        finish(take)
        page = client.get(url, {"seen": seen})
        assert page.status_code == 200
        assert "hx-get" not in words(page)

    @pytest.mark.parametrize("person", ["other_student_user", "other_guardian", "other_teacher"])
    def test_strangers(self, request, as_user, person, url):
        assert as_user(request.getfixturevalue(person)).get(url).status_code == 404

    def test_anonymous(self, as_user, url):
        assert as_user(None).get(url).status_code == 302


def test_the_teacher_is_spoken_to_as_a_teacher(as_user, teacher, url, measured):
    page = words(as_user(teacher).get(url))
    assert "waits for its review" in page
    assert "your teacher" not in page.lower()
