from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from recordings.models import Analysis, Take
from recordings.reviews.draft import draft_review
from studio.models import Audition, Entry, Handover, Requirement
from tests.recordings.conftest import plain_take

QUEUE = "/reviews/"


def waiting(entry, requirement, *, minutes_ago: int, number: int) -> Take:
    take = plain_take(entry, requirement, minutes_ago=minutes_ago, sha256=str(number) * 64)
    Analysis.objects.filter(take=take).update(state=Analysis.State.DONE, result={}, duration_s=60)
    return take


@pytest.fixture
def takes(entry, requirement, season, excerpt, rubric, other_student, audition) -> dict[str, Take]:
    """Of the own student one that closes soon and one that waits longer, of a colleague's student a third."""
    later = Audition.objects.create(
        season=season, name="Later round", held_on=audition.held_on, closes_at=audition.closes_at
    )
    asked = {"excerpt": excerpt, "rubric": rubric, "marked_bpm": 96, "low_bpm": 88, "high_bpm": 104}
    viola = Requirement.objects.create(
        audition=later, instrument="viola", level="senior", due_at=later.closes_at, **asked
    )
    theirs = Entry.objects.create(student=entry.student, audition=later, instrument="viola", level="senior")
    colleagues = Entry.objects.create(
        student=other_student, audition=audition, instrument="violin", level="senior"
    )
    return {
        "soon": waiting(entry, requirement, minutes_ago=5, number=1),
        "long": waiting(theirs, viola, minutes_ago=500, number=2),
        "colleagues": waiting(colleagues, requirement, minutes_ago=50, number=3),
    }


@pytest.fixture
def handed(other_teacher, teacher):
    today = timezone.localdate()
    return Handover.objects.create(
        teacher=other_teacher, colleague=teacher, from_day=today, until_day=today + timedelta(days=1)
    )


def shown(browser, query: str = "") -> list[int]:
    return [line.take.pk for line in browser.get(QUEUE + query).context["lines"]]


def test_by_closing_or_by_waiting(as_user, teacher, takes):
    browser = as_user(teacher)
    assert shown(browser) == [takes["soon"].pk, takes["long"].pk]
    assert shown(browser, "?sort=waiting") == [takes["long"].pk, takes["soon"].pk]


def test_of_one_instrument_or_audition(as_user, teacher, takes):
    browser = as_user(teacher)
    assert shown(browser, "?instrument=viola") == [takes["long"].pk]
    assert shown(browser, f"?audition={takes['soon'].entry.audition_id}") == [takes["soon"].pk]
    assert shown(browser, "?instrument=tuba") == []
    assert len(shown(browser, "?instrument=&audition=x&whose=?&sort=?")) == 2


@pytest.mark.parametrize(
    "query",
    [f"audition={'9' * 20}", f"audition={'9' * 5000}", "audition=²", "instrument=%00", "instrument=x"],
)
def test_what_nobody_offers_asks_for_nothing(as_user, teacher, takes, query):
    assert len(shown(as_user(teacher), f"?{query}")) == 2


def test_own_and_handed_over(as_user, teacher, takes, handed):
    browser = as_user(teacher)
    assert len(shown(browser)) == 3
    assert shown(browser, "?whose=handed") == [takes["colleagues"].pk]
    assert takes["colleagues"].pk not in shown(browser, "?whose=own")
    page = browser.get(QUEUE).content.decode()
    assert "for Petra Lohe" in page


def test_a_handed_over_take_is_heard_and_answered_until_it_ends(as_user, teacher, takes, handed):
    take = takes["colleagues"]
    address = reverse("review", args=[take.pk])
    assert as_user(teacher).get(address).status_code == 200
    handed.end()
    assert as_user(teacher).get(address).status_code == 404
    assert shown(as_user(teacher)) == [takes["soon"].pk, takes["long"].pk]


def test_the_filters_go_along_through_the_desk(as_user, teacher, takes):
    browser = as_user(teacher)
    queue = browser.get(f"{QUEUE}?sort=waiting").content.decode()
    first = f"{reverse('review', args=[takes['long'].pk])}?sort=waiting"
    assert f'class="button" href="{first}"' in queue
    desk = browser.get(first).content.decode()
    following = f"{reverse('review', args=[takes['soon'].pk])}?sort=waiting"
    assert f'data-next="{following}"' in desk
    review = draft_review(takes["long"], {})
    review.marks.update(value=7)
    release = f"{reverse('review_release', args=[takes['long'].pk])}?sort=waiting"
    assert release in desk
    done = browser.post(release, {"confirmed": "1", "edition": review.edition})
    assert done["Location"] == following


def test_filtering_costs_the_same_for_many_takes(
    as_user, teacher, takes, entry, requirement, django_assert_max_num_queries
):
    browser = as_user(teacher)
    browser.get(QUEUE)
    with django_assert_max_num_queries(18):
        browser.get(f"{QUEUE}?sort=waiting&whose=own")
