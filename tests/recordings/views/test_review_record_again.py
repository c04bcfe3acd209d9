"""A take that cannot be heard is answered in one click: please record again, without marks."""

import pytest
from django.urls import reverse

from recordings.models import Review, Take
from recordings.readiness.rows import cell_for
from recordings.reviews.draft import draft_review
from repertoire.models import Rubric
from tests.recordings.measured_take import make_take


@pytest.fixture
def review(entry, requirement):
    take = make_take(entry, requirement)
    return draft_review(take, take.analysis.result)


@pytest.fixture
def url(review):
    return reverse("review_record_again", args=[review.take_id])


def test_one_click_answers_it_without_marks(as_user, teacher, student_user, review, url):
    Review.objects.update(words="Nearer to the phone, please.")
    as_user(teacher).post(url, {"again": "quiet"})
    stored = Review.objects.get()
    assert (stored.is_released, stored.again, stored.reviewer) == (True, "quiet", teacher)
    page = as_user(student_user).get(reverse("take_detail", args=[review.take_id])).content.decode()
    assert "Please record again." in page
    assert "It is too quiet to be heard well." in page
    assert "Nearer to the phone, please." in page
    assert "of 10" not in page
    assert review.remarks.first().text not in page


def test_marks_given_before_the_click_show_no_total(as_user, teacher, student_user, review, url):
    Rubric.objects.update(total_shown=True)
    review.marks.update(value=7)
    as_user(teacher).post(url, {"again": "quiet"})
    page = as_user(student_user).get(reverse("take_detail", args=[review.take_id])).content.decode()
    assert "Please record again." in page
    assert "Total:" not in page


def test_the_take_waits_with_no_teacher_and_counts_for_nothing(as_user, teacher, review, url):
    as_user(teacher).post(url, {"again": "cut_off"})
    assert not Take.objects.awaiting_review().exists()
    cell = cell_for(review.take.entry, review.take.requirement)
    assert [str(reason) for reason in cell.readiness.reasons] == [
        "The recording handed in cannot be judged; please record again."
    ]


def test_withdrawn_it_is_an_ordinary_draft_again(as_user, teacher, review, url):
    browser = as_user(teacher)
    browser.post(url, {"again": "distorted"})
    browser.post(reverse("review_withdraw", args=[review.take_id]))
    stored = Review.objects.get()
    assert (stored.state, stored.again) == ("withdrawn", "")
    assert Take.objects.awaiting_review().count() == 1


def test_a_second_click_and_an_unknown_reason_change_nothing(as_user, teacher, review, url):
    browser = as_user(teacher)
    page = browser.post(url, {"again": "nonsense"}, follow=True).content.decode()
    assert "Please choose why" in page
    assert not Review.objects.get().is_released
    browser.post(url, {"again": "quiet"})
    browser.post(url, {"again": "distorted"})
    assert Review.objects.get().again == "quiet"
    assert review.events.filter(kind="released").count() == 1


@pytest.mark.parametrize(("person", "status"), [("student_user", 403), ("other_teacher", 404), (None, 302)])
def test_who_may_not_ask(request, as_user, url, person, status):
    user = person and request.getfixturevalue(person)
    assert as_user(user).post(url, {"again": "quiet"}).status_code == status
    assert not Review.objects.get().is_released


def test_a_newer_text_of_another_window_is_shown_and_not_sent(as_user, teacher, review, url):
    old = review.edition
    Review.objects.update(edition=old + 3, words="Newer words.")
    answer = as_user(teacher).post(url, {"again": "quiet", "edition": old})
    assert answer.status_code == 409
    assert "Newer words." in answer.content.decode()
    assert not Review.objects.get().is_released


def test_what_stands_on_the_page_is_stored_before_it_goes_out(as_user, teacher, review, url):
    mark = review.marks.first()
    typed = {
        "again": "quiet",
        "edition": review.edition,
        "words": "Nearer, please.",
        f"mark-{mark.caption_id}": "99",
    }
    as_user(teacher).post(url, typed)
    stored = Review.objects.get()
    assert (stored.is_released, stored.again, stored.words) == (True, "quiet", "Nearer, please.")


def test_without_a_reason_what_was_typed_is_kept(as_user, teacher, review, url):
    as_user(teacher).post(url, {"edition": review.edition, "words": "Nearer, please."})
    stored = Review.objects.get()
    assert (stored.is_released, stored.words) == (False, "Nearer, please.")


def test_words_typed_on_an_older_text_are_shown_beside_the_newer(as_user, teacher, review, url):
    old = review.edition
    Review.objects.update(edition=old + 3, words="Newer words.")
    answer = as_user(teacher).post(url, {"again": "quiet", "edition": old, "words": "Typed here."})
    assert answer.status_code == 409
    assert "Newer words." in answer.content.decode()
    assert "Typed here." in answer.content.decode()
    assert (Review.objects.get().is_released, Review.objects.get().words) == (False, "Newer words.")


def test_it_is_sent_with_the_text_it_was_opened_on(as_user, teacher, review):
    page = as_user(teacher).get(reverse("review", args=[review.take_id])).content.decode()
    form = page[page.index('id="review-form"') :]
    form = form[: form.index("</form>")]
    assert f'name="edition" value="{review.edition}"' in form
    assert reverse("review_record_again", args=[review.take_id]) in form


@pytest.mark.parametrize("marked", [False, True])
def test_every_page_of_it_opens_and_none_shows_a_mark(as_user, teacher, student_user, review, url, marked):
    if marked:
        review.marks.update(value="7.5")
    as_user(teacher).post(url, {"again": "quiet"})
    cell = [review.take.entry_id, review.take.requirement_id]
    addresses = [
        reverse("take_detail", args=[review.take_id]),
        reverse("requirement_takes", args=cell),
        reverse("student_page", args=[review.take.entry.student_id]),
    ]
    for person in (student_user, teacher):
        for address in addresses:
            answer = as_user(person).get(address)
            assert answer.status_code == 200
            assert "7.5" not in answer.content.decode()
    page = as_user(teacher).get(reverse("review", args=[review.take_id])).content.decode()
    assert "Please record again." in page
