import json

import pytest
from django.urls import reverse

from recordings.models import Review
from recordings.reviews.draft import draft_review
from recordings.reviews.release import release_review
from tests.recordings.measured_take import make_take


@pytest.fixture
def take(entry, requirement):
    return make_take(entry, requirement)


@pytest.fixture
def review(take):
    return draft_review(take, take.analysis.result)


@pytest.fixture
def url(review):
    return reverse("review_save", args=[review.take_id])


def as_json(review, **changes) -> str:
    remarks = [
        {
            "id": remark.pk,
            "text": remark.text,
            "bars": remark.bars,
            "start_s": remark.start_s,
            "end_s": remark.end_s,
            "verdict": "kept",
        }
        for remark in review.remarks.all()
    ]
    return json.dumps(
        {"edition": review.edition, "window": "w1", "words": "", "marks": {}, "remarks": remarks, **changes}
    )


def send(browser, url, body: str):
    return browser.post(url, body, content_type="application/json")


def as_form(review, **changes) -> dict:
    fields = {"edition": review.edition, "words": "", "remark": []}
    for place, remark in enumerate(review.remarks.all()):
        fields["remark"].append(str(remark.pk))
        fields |= {
            f"remark-{remark.pk}-id": remark.pk,
            f"remark-{remark.pk}-text": remark.text,
            f"remark-{remark.pk}-bars": remark.bars,
            f"remark-{remark.pk}-start_s": remark.start_s,
            f"remark-{remark.pk}-end_s": remark.end_s,
            f"remark-{remark.pk}-verdict": "kept",
            f"remark-{remark.pk}-place": place,
        }
    return {**fields, **changes}


def caption(review, name: str):
    return review.marks.get(caption__name=name).caption


def test_autosave_stores_words_marks_and_remarks(as_user, teacher, review, url):
    tone = caption(review, "Tone")
    own = {"text": "Breathe before bar 3.", "bars": "3", "start_s": "10.5", "end_s": "13", "verdict": "kept"}
    body = as_json(review, words="Good line.", marks={str(tone.pk): "8"}, remarks=[own])
    answer = send(as_user(teacher), url, body)
    assert answer.status_code == 200
    saved = answer.json()
    assert (saved["edition"], saved["errors"]) == (1, {})
    stored = Review.objects.get()
    assert (stored.words, stored.marks.get(caption=tone).value, stored.reviewer) == ("Good line.", 8, teacher)
    remark = stored.remarks.get(own_text="Breathe before bar 3.")
    assert saved["remarks"] == [remark.pk]
    assert (remark.bars, remark.start_s, remark.verdict) == ("3", 10.5, "kept")
    assert stored.remarks.filter(verdict="dropped").count() == 3


def test_a_newer_text_of_another_window_is_shown_not_overwritten(as_user, teacher, review, url):
    browser = as_user(teacher)
    send(browser, url, as_json(review, words="The other window's words."))
    answer = send(browser, url, as_json(review, words="Mine.", window="w2"))
    assert answer.status_code == 409
    assert answer.json()["edition"] == 1
    assert "The other window&#x27;s words." in answer.json()["html"]
    assert Review.objects.get().words == "The other window's words."


def test_an_old_window_that_says_the_same_is_no_conflict(as_user, teacher, review, url):
    browser = as_user(teacher)
    send(browser, url, as_json(review, words="Same."))
    answer = send(browser, url, as_json(review, words="Same.", window="w2"))
    assert (answer.status_code, answer.json()["edition"]) == (200, 1)


def test_a_mark_out_of_range_is_shown_and_everything_else_is_stored(as_user, teacher, review, url):
    tone = caption(review, "Tone")
    answer = send(as_user(teacher), url, as_json(review, words="Kept.", marks={str(tone.pk): "11"}))
    assert answer.json()["errors"] == {f"mark-{tone.pk}": "Tone goes from 1 to 10."}
    assert Review.objects.get().words == "Kept."
    assert review.marks.get(caption=tone).value is None


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [("7.5", "steps of 1"), ("good", "as a number"), ("1e400", "goes from 1 to 10"), ("NaN", "as a number")],
)
def test_marks_that_are_none(as_user, teacher, review, url, typed, sentence):
    tone = caption(review, "Tone")
    answer = send(as_user(teacher), url, as_json(review, marks={str(tone.pk): typed}))
    assert sentence in answer.json()["errors"][f"mark-{tone.pk}"]


@pytest.mark.parametrize("body", ["[]", "not json", '"text"', "{}", '{"edition": "many"}', "[" * 100_000])
def test_what_is_no_draft_is_refused(as_user, teacher, review, url, body):
    assert send(as_user(teacher), url, body).status_code == 400


@pytest.mark.parametrize(
    "changes",
    [
        {"marks": [1], "remarks": {"a": 1}},
        {"remarks": [None, 3, {"text": "ok", "start_s": "soon", "end_s": -4, "id": "x"}]},
        {"words": "a\ud800b\x00", "window": "\x00", "remarks": [{"text": "\x00ok", "bars": "\ud800"}]},
    ],
)
def test_odd_values_do_no_harm(as_user, teacher, review, url, changes):
    assert send(as_user(teacher), url, as_json(review, **changes)).status_code == 200


def test_saving_a_released_review_is_refused_with_a_sentence(as_user, teacher, review, url):
    review.marks.update(value=8)
    release_review(review, by=teacher)
    answer = send(as_user(teacher), url, as_json(review, words="Late."))
    assert answer.status_code == 409
    assert "has been released in the meantime" in answer.json()["html"]


def test_plain_form_saves_as_well_and_comes_back(as_user, teacher, review, url):
    tone, first = caption(review, "Tone"), review.remarks.first()
    typed = {f"mark-{tone.pk}": "7", f"remark-{first.pk}-text": "Changed."}
    fields = as_form(review, words="By hand.", **typed)
    fields[f"remark-{first.pk}-verdict"] = "wrong:style"
    fields[f"remark-{first.pk}-place"] = 90
    answer = as_user(teacher).post(url, fields)
    assert (answer.status_code, answer.url) == (302, reverse("review", args=[review.take_id]))
    stored = Review.objects.get()
    assert (stored.words, stored.marks.get(caption=tone).value) == ("By hand.", 7)
    last = list(stored.remarks.all())[-1]
    assert (last.pk, last.text, last.verdict, last.wrong_reason) == (first.pk, "Changed.", "wrong", "style")


def test_plain_form_keeps_what_was_typed_when_a_mark_is_out_of_range(as_user, teacher, review, url):
    tone = caption(review, "Tone")
    answer = as_user(teacher).post(url, as_form(review, words="Kept.", **{f"mark-{tone.pk}": "12"}))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="12"' in page
    assert "Tone goes from 1 to 10." in page
    assert "Kept." in page


def test_plain_form_with_an_old_edition_shows_both_texts(as_user, teacher, review, url):
    browser = as_user(teacher)
    old = as_form(review, words="Typed in the old window.")
    browser.post(url, as_form(review, words="Saved first."))
    answer = browser.post(url, old)
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Typed in the old window." in page
    assert "Saved first." in page
    assert Review.objects.get().words == "Saved first."


def test_a_form_without_its_edition_is_not_stored_and_the_page_says_so(as_user, teacher, review, url):
    tone, first = caption(review, "Tone"), review.remarks.first()
    fields = as_form(
        review, words="By hand.", **{f"mark-{tone.pk}": "7", f"remark-{first.pk}-text": "Changed."}
    )
    del fields["edition"]
    answer = as_user(teacher).post(url, fields)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Nothing was saved" in page
    for typed in ("By hand.", 'value="7"', "Changed.", 'name="edition" value="0"'):
        assert typed in page
    stored = Review.objects.get()
    assert (stored.edition, stored.words, stored.saved_at) == (0, "", None)
    assert not stored.marks.filter(value__isnull=False).exists()
    assert not stored.remarks.filter(own_text="Changed.").exists()


def test_an_empty_form_does_not_empty_the_review(as_user, teacher, review, url):
    Review.objects.update(words="As stored.")
    answer = as_user(teacher).post(url)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Nothing was saved" in page
    stored = Review.objects.get()
    assert (stored.edition, stored.remarks.filter(verdict="proposed").count()) == (0, 3)
    # The page can be saved again from here, so it must not show less than is stored.
    for text in ("As stored.", *(remark.text for remark in stored.remarks.all())):
        assert text in page


def test_who_may_save(as_user, director, other_teacher, student_user, guardian, review, url):
    body = as_json(review, words="From outside.")
    assert send(as_user(None), url, body).status_code == 302
    assert send(as_user(student_user), url, body).status_code == 403
    assert send(as_user(guardian), url, body).status_code == 403
    assert send(as_user(other_teacher), url, body).status_code == 404
    assert Review.objects.get().words == ""
    assert send(as_user(director), url, body).status_code == 200


def test_reading_the_address_changes_nothing(as_user, teacher, url):
    assert as_user(teacher).get(url).status_code == 405
