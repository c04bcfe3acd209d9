import pytest
from django.template.loader import render_to_string
from django.urls import reverse

from recordings.models import Review
from recordings.reviews.draft import draft_review
from studio.models import Entry
from tests.mails import delivered
from tests.recordings.measured_take import make_take


@pytest.fixture
def review(entry, requirement):
    take = make_take(entry, requirement)
    return draft_review(take, take.analysis.result)


@pytest.fixture
def marked(review):
    review.marks.update(value=8)
    Review.objects.filter(pk=review.pk).update(words="A fine slow beginning.")
    review.refresh_from_db()
    return review


@pytest.fixture
def url(review):
    return reverse("review_release", args=[review.take_id])


def confirmed(review) -> dict:
    return {"confirmed": "1", "edition": review.edition}


def test_release_shows_it_to_the_student_and_closes_the_form(as_user, teacher, marked, url):
    browser = as_user(teacher)
    answer = browser.post(url, confirmed(marked), follow=True)
    page = answer.content.decode()
    stored = Review.objects.get()
    assert (stored.is_released, stored.reviewer) == (True, teacher)
    assert 'name="words"' not in page
    assert "A fine slow beginning." in page
    assert "Withdraw" in page


def test_second_release_is_harmless(as_user, teacher, marked, url):
    browser = as_user(teacher)
    browser.post(url, confirmed(marked))
    again = browser.post(url, confirmed(marked))
    assert again.status_code == 302
    assert marked.events.filter(kind="released").count() == 1


def test_without_confirmation_the_draft_is_saved_and_asked_about(as_user, teacher, marked, url):
    fields = {"edition": marked.edition, "words": "Last thought.", "remark": []}
    answer = as_user(teacher).post(url, fields)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "Release this review to" in page
    assert "Last thought." in page
    stored = Review.objects.get()
    assert (stored.is_released, stored.words) == (False, "Last thought.")
    assert f'name="edition" value="{stored.edition}"' in page


def test_a_draft_without_its_edition_is_neither_saved_nor_asked_about(as_user, teacher, marked, url):
    answer = as_user(teacher).post(url, {"words": "Last thought."})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Nothing was saved" in page
    assert "Last thought." in page
    assert "Release this review to" not in page.split("<dialog")[0]
    assert Review.objects.get().words == "A fine slow beginning."


def test_unmarked_captions_are_named_beside_their_fields(as_user, teacher, review, url):
    for fields in (confirmed(review), {"edition": review.edition, "words": "", "remark": []}):
        answer = as_user(teacher).post(url, fields)
        assert answer.status_code == 422
        page = answer.content.decode()
        for name in ("Tone", "Intonation", "Musicality"):
            assert page.count(f"{name} still needs a mark.</span>") == 1
    assert not Review.objects.get().is_released


def test_release_of_a_text_changed_elsewhere_shows_the_newer_one(as_user, teacher, marked, url):
    old = confirmed(marked)
    Review.objects.update(edition=5, words="Newer words.")
    answer = as_user(teacher).post(url, old)
    assert answer.status_code == 409
    assert "Newer words." in answer.content.decode()
    assert not Review.objects.get().is_released


def test_who_may_release(as_user, director, other_teacher, student_user, guardian, marked, url):
    fields = confirmed(marked)
    assert as_user(None).post(url, fields).status_code == 302
    assert as_user(student_user).post(url, fields).status_code == 403
    assert as_user(guardian).post(url, fields).status_code == 403
    assert as_user(other_teacher).post(url, fields).status_code == 404
    assert not Review.objects.get().is_released
    as_user(director).post(url, fields)
    assert Review.objects.get().is_released


def test_own_teacher_withdraws_and_the_history_tells_it(as_user, teacher, marked, url):
    browser = as_user(teacher)
    browser.post(url, confirmed(marked))
    withdraw = reverse("review_withdraw", args=[marked.take_id])
    page = browser.post(withdraw, follow=True).content.decode()
    assert Review.objects.get().state == "withdrawn"
    assert 'name="words"' in page
    assert "This review is withdrawn" in page
    history = page[page.index('class="history"') :]
    assert history.count(f"by {teacher.name}") == 2
    assert history.count("Tone 8") == history.count("A fine slow beginning.") == 1
    assert browser.post(withdraw).status_code == 302
    assert marked.events.filter(kind="withdrawn").count() == 1


@pytest.mark.parametrize(("person", "status"), [("student_user", 403), ("other_teacher", 404), (None, 302)])
def test_who_may_not_withdraw(request, as_user, marked, person, status, teacher, url):
    as_user(teacher).post(url, confirmed(marked))
    user = person and request.getfixturevalue(person)
    assert as_user(user).post(reverse("review_withdraw", args=[marked.take_id])).status_code == status
    assert Review.objects.get().is_released


def test_after_the_release_the_next_take_is_one_step_away(
    as_user, teacher, marked, url, other_student, entry, requirement
):
    somebody_elses = Entry.objects.create(
        student=other_student, audition=entry.audition, instrument=entry.instrument, level=entry.level
    )
    make_take(somebody_elses, requirement)
    browser = as_user(teacher)
    page = browser.post(url, confirmed(marked), follow=True).content.decode()
    assert "Nothing else waits for your ear" in page
    assert page.count(f'href="{reverse("review_queue")}"') >= 2
    following = make_take(entry, requirement)
    page = browser.get(reverse("review", args=[marked.take_id])).content.decode()
    assert f'href="{reverse("review", args=[following.pk])}">Hear the next take' in page


def test_reading_the_addresses_changes_nothing(as_user, teacher, marked, url):
    browser = as_user(teacher)
    assert browser.get(url).status_code == 405
    assert browser.get(reverse("review_withdraw", args=[marked.take_id])).status_code == 405


def test_the_student_reads_marks_words_and_kept_remarks_only(marked):
    first, second, third = marked.remarks.all()
    marked.remarks.update(verdict="kept")
    marked.remarks.filter(pk=second.pk).update(verdict="dropped")
    marked.remarks.filter(pk=third.pk).update(own_text="  ")
    page = render_to_string("recordings/_released_review.html", {"review": Review.objects.get()})
    assert first.text in page
    assert second.text not in page
    assert page.count("<li>") == 1
    assert 'data-hear="[[0.5, 3.0]]"' in page
    assert "A fine slow beginning." in page


def test_release_mails_student_and_guardian_where_the_answer_is_and_nothing_of_it(
    as_user, teacher, marked, url
):
    as_user(teacher).post(url, confirmed(marked))
    assert len(delivered()) == 2
    address = reverse("take_detail", args=[marked.take_id])
    assert all(address in message.body and "slow" not in message.body for message in delivered())


def test_the_desk_goes_on_to_the_next_take_by_itself_and_names_the_way_back(
    as_user, teacher, marked, url, other_student, entry, requirement
):
    requirement.pk = None
    requirement.from_bar, requirement.to_bar = "3", "4"
    requirement.save()
    following = make_take(entry, requirement)
    answer = as_user(teacher).post(url, confirmed(marked), follow=True)
    assert answer.redirect_chain[-1][0] == reverse("review", args=[following.pk])
    page = answer.content.decode()
    assert f"{marked.take.entry.student.name} can read it now." in page
    assert f'<a href="{reverse("review", args=[marked.take_id])}">Back to it</a>' in page
