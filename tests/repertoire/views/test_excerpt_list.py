import pytest
from django.urls import reverse

from repertoire.models import Excerpt
from repertoire.paging import PAGE_SIZE

pytestmark = pytest.mark.django_db


@pytest.fixture
def url():
    return reverse("excerpt_list")


@pytest.fixture
def more_music(excerpt):
    """One more piece each call, alike but for what is given."""

    def made(count: int, **fields) -> list[Excerpt]:
        start = Excerpt.objects.count()
        return Excerpt.objects.bulk_create(
            Excerpt(
                **{
                    "title": f"Piece {number}",
                    "instrument": "violin",
                    "musicxml": excerpt.musicxml,
                    "content_hash": f"{number:064d}",
                    "marked_bpm": 60,
                    "bar_count": 4,
                    "order_text": "1-4",
                    **fields,
                }
            )
            for number in range(start, start + count)
        )

    return made


@pytest.mark.parametrize("who", ["director", "teacher"])
def test_staff_see_all_music(as_user, request, url, excerpt, who):
    text = as_user(request.getfixturevalue(who)).get(url).content.decode()
    assert excerpt.title in text
    assert "quarter note = 96" in text
    assert (reverse("excerpt_add") in text) == (who == "director")


def test_students_and_guardians_see_what_their_entries_require(
    as_user, url, entry, requirement, student_user, guardian, other_student, other_guardian, more_music
):
    more_music(1)
    for user in (student_user, guardian):
        text = as_user(user).get(url).content.decode()
        assert requirement.excerpt.title in text
        assert "Piece 1" not in text
    for user in (other_student.user, other_guardian):
        assert requirement.excerpt.title not in as_user(user).get(url).content.decode()


def test_filters_by_instrument_and_kind(as_user, teacher, url, more_music):
    more_music(1, title="Deep Bass", instrument="double_bass")
    more_music(1, title="A Scale", kind="scale")
    client = as_user(teacher)
    bass = client.get(url, {"instrument": "double_bass"}).content.decode()
    assert "Deep Bass" in bass
    assert "A Scale" not in bass
    scales = client.get(url, {"kind": "scale"}).content.decode()
    assert "A Scale" in scales
    assert "Deep Bass" not in scales
    assert "No music of this kind yet." in client.get(url, {"instrument": "tuba"}).content.decode()


def test_a_filter_nobody_offers_shows_all(as_user, teacher, url, excerpt):
    response = as_user(teacher).get(url, {"instrument": "'; --", "page": "x"})
    assert excerpt.title in response.content.decode()


def test_pages_keep_their_filter(as_user, teacher, url, more_music):
    more_music(PAGE_SIZE + 1)
    text = as_user(teacher).get(url, {"instrument": "violin"}).content.decode()
    assert "instrument=violin&amp;page=2" in text
    assert "Page 1 of 2" in text


def test_queries_do_not_grow_with_the_music(
    as_user, teacher, url, more_music, django_assert_max_num_queries, django_assert_num_queries
):
    client = as_user(teacher)
    client.get(url)
    with django_assert_max_num_queries(12) as few:
        client.get(url)
    more_music(20)
    with django_assert_num_queries(len(few)):
        client.get(url)


def test_lists_leave_the_scores_in_the_database(
    as_user, teacher, url, excerpt, django_assert_max_num_queries
):
    client = as_user(teacher)
    with django_assert_max_num_queries(12) as seen:
        client.get(url)
    assert not any('"musicxml"' in query["sql"] for query in seen.captured_queries)


def test_empty_library_says_what_to_do(as_user, director, student_user, url):
    assert "Add a score from your notation program" in as_user(director).get(url).content.decode()
    assert "as soon as it is set for an audition" in as_user(student_user).get(url).content.decode()


def test_anonymous_is_asked_to_sign_in(as_user, studio, url):
    assert as_user(None).get(url).url.startswith(reverse("account_login"))


def test_only_reading(as_user, director, url):
    assert as_user(director).post(url).status_code == 405
