"""The studio's own page of how far teachers believe the measuring."""

import pytest
from django.urls import reverse

from recordings.models import Remark, Review
from recordings.reviews.verdicts import reasons, verdicts_by_topic
from tests.recordings.measured_take import make_take

URL = reverse("verdicts")
PITCH = {"kind": "intonation", "bars": "3", "text": "Bar 3: the F is low.", "start_s": 1.0, "end_s": 2.0}
NOTE = {**PITCH, "kind": "wrong_note"}


@pytest.fixture
def review(entry, requirement):
    return Review.objects.create(take=make_take(entry, requirement), state=Review.State.RELEASED)


@pytest.fixture
def decided(review):
    Remark.objects.create(review=review, finding=PITCH, verdict="kept")
    Remark.objects.create(review=review, finding=PITCH, verdict="kept", own_text="Lift the third finger.")
    Remark.objects.create(review=review, finding=PITCH, verdict="wrong", wrong_reason="style")
    Remark.objects.create(review=review, finding=NOTE, verdict="dropped")
    Remark.objects.create(review=review, finding=NOTE)
    Remark.objects.create(review=review, own_text="My own.", verdict="kept")
    return review


def test_drafted_remarks_are_counted_by_what_became_of_them(decided):
    notes, pitch = verdicts_by_topic()
    assert (pitch.kept, pitch.reworded, pitch.dropped, pitch.wrong, pitch.open) == (1, 1, 0, 1, 0)
    assert (notes.kept, notes.reworded, notes.dropped, notes.wrong, notes.open) == (0, 0, 1, 0, 1)
    assert pitch.wrong_percent == 33
    assert reasons() == [("it is style", 1)]


def test_a_draft_and_an_answer_that_asks_to_record_again_do_not_count(decided):
    Review.objects.update(state=Review.State.DRAFT)
    assert verdicts_by_topic() == []
    Review.objects.update(state=Review.State.RELEASED, again="quiet")
    assert verdicts_by_topic() == []


def test_the_page_shows_it_with_a_constant_number_of_queries(
    as_user, director, decided, django_assert_max_num_queries
):
    browser = as_user(director)
    with django_assert_max_num_queries(10):
        page = browser.get(URL).content.decode()
    assert "1 (33 %)" in page
    assert "it is style" in page
    assert decided.take.entry.student.name not in page


def test_before_the_first_answer_it_says_so(as_user, director):
    assert "No answer with drafted remarks" in as_user(director).get(URL).content.decode()


@pytest.mark.parametrize(("person", "status"), [("teacher", 403), ("student_user", 403)])
def test_only_a_director_reads_it(request, as_user, person, status):
    assert as_user(request.getfixturevalue(person)).get(URL).status_code == status
