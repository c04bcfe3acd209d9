"""The review page itself: who may open it and what stands on it."""

import json
import re

import pytest
from django.urls import reverse

from recordings.reviews.bar_table import broken_off
from recordings.reviews.draft import draft_review
from tests.recordings.measured_take import make_take

SUGGESTED = {"caption": "intonation", "low": 6, "high": 7, "evidence": "18 of 24 notes within 10 cents."}


@pytest.fixture
def take(entry, requirement):
    take = make_take(entry, requirement, captions=[SUGGESTED])
    draft_review(take, take.analysis.result)
    return take


@pytest.fixture
def url(take):
    return reverse("review", args=[take.pk])


def test_shows_the_music_the_remarks_and_the_suggestions(as_user, teacher, url, take):
    page = as_user(teacher).get(url).content.decode()
    assert 'id="p1m1n1"' in page
    assert "Bar 1: sentence number 0." in page
    assert "Suggested: 6 to 7" in page
    assert "18 of 24 notes within 10 cents." in page
    assert "No suggestion: this one is for the ear." in page
    assert "A fan is heard behind the playing." in page
    assert "Bars 1-2, 1-2, 3-4." in page
    assert "Measured, but not surely: please listen." in page


def test_no_script_stands_in_the_page_itself(as_user, teacher, url):
    page = as_user(teacher).get(url).content.decode()
    for tag in re.findall(r"<script\b[^>]*>", page):
        assert "src=" in tag or 'type="application/json"' in tag
    assert not re.search(r"\son[a-z]+=", page)


def test_the_ribbons_data_follows_the_measured_bars_and_notes(as_user, teacher, url, requirement):
    page = as_user(teacher).get(url).content.decode()
    data = json.loads(re.search(r'<script id="ribbon-data"[^>]*>(.*?)</script>', page, re.DOTALL)[1])
    played = [(bar["bar"], bar["pass"]) for bar in data["bars"]]
    assert played == [
        ("1", 1),
        ("2", 1),
        ("1", 2),
        ("2", 2),
        ("3", 1),
        ("4", 1),
    ]
    assert len(data["notes"]) == 24
    assert data["notes"][0]["name"] == "A4"
    wrong = next(note for note in data["notes"] if note["status"] == "wrong_pitch")
    assert (wrong["name"], wrong["heard"]) == ("C5", "D5")
    assert (data["low_bpm"], data["high_bpm"]) == (88.0, 104.0)


def test_the_table_says_the_same_in_words(as_user, teacher, url):
    page = as_user(teacher).get(url).content.decode()
    table = page[page.index("bar-by-bar") :]
    sentences = (
        "above the range",
        "below the range",
        "A4 20 cents low",
        "C5: heard as D5",
        "1 note not heard",
        "on the whole 4 cents high",
    )
    assert [words for words in sentences if words not in table] == []


def test_of_another_piece_no_bars_are_shown(as_user, teacher, url, take):
    take.analysis.result["findings"] = [
        {"kind": "not_recognised", "bars": "", "text": "Another piece?", "certainty": "sure"}
    ]
    take.analysis.save()
    assert "Bars 1-2, 1-2, 3-4." not in as_user(teacher).get(url).content.decode()


def test_anonymous_is_asked_to_sign_in(as_user, url):
    answer = as_user(None).get(url)
    assert answer.status_code == 302
    assert reverse("account_login") in answer.url


def test_who_may_open_it(as_user, director, other_teacher, student_user, guardian, other_guardian, url):
    assert as_user(director).get(url).status_code == 200
    assert as_user(other_teacher).get(url).status_code == 404
    assert as_user(student_user).get(url).status_code == 403
    assert as_user(guardian).get(url).status_code == 403
    assert as_user(other_guardian).get(url).status_code == 404


def test_a_failed_measurement_can_be_answered_by_ear_and_measured_again(as_user, teacher, entry, requirement):
    take = make_take(entry, requirement, state="failed")
    page = as_user(teacher).get(reverse("review", args=[take.pk])).content.decode()
    assert "It holds no sound." in page
    assert reverse("take_measure_again", args=[take.pk]) in page
    assert 'name="words"' in page


def test_a_take_still_being_measured_says_so(as_user, teacher, entry, requirement):
    take = make_take(entry, requirement, state="running")
    page = as_user(teacher).get(reverse("review", args=[take.pk])).content.decode()
    assert "still being measured" in page
    assert not hasattr(take, "review")


def test_a_bar_broken_off_is_a_row_of_its_own(as_user, teacher, url, take):
    result = take.analysis.result
    again = {**result["bars"][3], "start_s": 7.0, "end_s": 8.0, "attempt_left": True}
    take.analysis.result = {**result, "bars": [*result["bars"][:3], again, *result["bars"][3:]]}
    take.analysis.save()
    page = as_user(teacher).get(url)
    rows = page.context["rows"]
    assert [row["remarks"] for row in rows].count(["broken off"]) == 1
    assert [(row["bar"], row["which"]) for row in rows] == [
        ("1", ""),
        ("2", ""),
        ("1", "second time"),
        ("2", "second time, first try"),
        ("2", "second time, second try"),
        ("3", ""),
        ("4", ""),
    ]
    html = page.content.decode()
    assert "Hear bar 2, second time, second try" in html
    assert "Bar 2: broken off and begun again." in html
    assert 'data-hear="[[7.000, 8.000]]"' in html[html.index("broken-off") :]


def test_stretches_begun_again_are_shown_one_by_one():
    def bar(position, start_s, *, left=True):
        return {
            "bar": str(position + 10),
            "position": position,
            "start_s": start_s,
            "end_s": start_s + 2,
            "attempt_left": left,
        }

    bars = [bar(2, 1), bar(3, 3), bar(2, 7), bar(2, 10, left=False), bar(3, 12, left=False)]
    assert broken_off({"bars": bars}) == [
        {"bars": "Bars 12-13", "start_s": 1, "end_s": 5},
        {"bars": "Bar 12", "start_s": 7, "end_s": 9},
    ]
    assert broken_off({}) == []


def test_query_count_does_not_grow_with_remarks(as_user, teacher, url, take, django_assert_max_num_queries):
    browser = as_user(teacher)
    browser.get(url)
    with django_assert_max_num_queries(22):
        browser.get(url)
    for number in range(20):
        take.review.remarks.create(own_text=f"Bar 2: one more, number {number}.", position=50 + number)
    with django_assert_max_num_queries(22):
        page = browser.get(url).content.decode()
    assert "one more, number 19." in page
