from django.utils import timezone

from recordings.models import Review
from tests.recordings.measured_take import make_take


def test_where_the_child_stands_what_is_next_and_the_last_answer(
    student, guardian, entry, requirement, teacher, as_user
):
    page = as_user(guardian).get("/children/").text
    assert f"“{requirement.excerpt.title}”" in page
    assert "state-nothing_yet" in page
    assert "Last answer" not in page
    take = make_take(entry, requirement)
    Review.objects.create(take=take, state="released", reviewer=teacher, released_at=timezone.now())
    page = as_user(guardian).get("/children/").text
    assert f'href="/takes/{take.pk}/"' in page
    assert "Last answer" in page


def test_a_child_without_an_audition(student, guardian, as_user):
    assert "no audition to prepare" in as_user(guardian).get("/children/").text
