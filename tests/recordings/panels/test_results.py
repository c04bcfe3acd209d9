"""What a closed panel says: ranks and ties, what stands apart, the seats, the table, remarks handed on."""

import csv
import io

import pytest
from django.urls import reverse

from recordings.models import PanelMark, Review
from recordings.panels.closing import close_panel
from recordings.panels.draw import deal
from recordings.panels.outliers import outliers_of
from recordings.panels.results import results_of
from studio.models import Event, Student
from tests.recordings.panels.conftest import make_player, stored_take

pytestmark = pytest.mark.django_db


@pytest.fixture
def everyone(takes, panel, listeners):
    """The panel, with all takes heard by all."""
    panel.listeners.update(hears_own=True)
    deal(panel)
    return panel


def mark(panel, user, take, *values, remark=""):
    sheet = panel.listeners.get(user=user).sheets.get(panel_take__take=take)
    captions = panel.rubric.captions.all()
    for caption, value in zip(captions, values, strict=False):
        PanelMark.objects.update_or_create(sheet=sheet, caption=caption, defaults={"value": value})
    sheet.remark = remark
    sheet.save()


def ranks(panel):
    [group] = results_of(panel).groups
    return [(entry.entry.student.name, entry.rank, float(entry.mean or 0)) for entry in group.entries]


def test_mean_spread_and_rank(everyone, takes, listeners):
    for take, base in zip(takes, (6, 8, 7), strict=True):
        for user, more in zip(listeners, (-1, 0, 1), strict=True):
            mark(everyone, user, take, base + more, base, base)
    assert ranks(everyone) == [
        ("Leonora Rothenfels", 1, 24),
        ("Odilo Kammerstein", 2, 21),
        ("Mira Tannhof", 3, 18),
    ]
    [group] = results_of(everyone).groups
    assert [entry.spread for entry in group.entries] == [pytest.approx(1)] * 3


def test_ties_are_broken_as_the_form_says_or_shared(everyone, takes, listeners, rubric):
    for user in listeners:
        mark(everyone, user, takes[0], 5, 7, 6)
        mark(everyone, user, takes[1], 7, 5, 6)
        mark(everyone, user, takes[2], 4, 4, 4)
    assert [rank for _name, rank, _mean in ranks(everyone)] == [1, 1, 3]
    rubric.captions.filter(name="Tone").update(decides=1)
    everyone.rubric.refresh_from_db()
    assert [(name, rank) for name, rank, _mean in ranks(everyone)][:2] == [
        ("Leonora Rothenfels", 1),
        ("Mira Tannhof", 2),
    ]


def test_a_sheet_that_lacks_a_mark_does_not_count(everyone, takes, listeners):
    mark(everyone, listeners[0], takes[0], 9, 9)
    mark(everyone, listeners[1], takes[0], 6, 6, 6)
    [group] = results_of(everyone).groups
    assert float(group.entries[0].mean) == 18


def test_who_lacks_a_take_that_others_played_has_no_rank(everyone, takes, listeners):
    for user in listeners:
        for take in takes[:2]:
            mark(everyone, user, take, 5, 5, 5)
    assert ranks(everyone)[-1] == ("Odilo Kammerstein", None, 0)


def test_habits_and_marks_apart_are_told_in_words(everyone, takes, listeners, panel):
    anselm, petra, veit = listeners
    for take in takes:
        for user in (anselm, petra):
            mark(everyone, user, take, 7, 7, 7)
        mark(everyone, veit, take, 6, 6, 6)
    sentences = outliers_of(results_of(everyone))
    assert "Veit Sommer marks lower than the others, by 3 points a take." in sentences
    assert not any("gave take" in sentence for sentence in sentences)
    mark(everyone, petra, takes[1], 1, 1, 1)
    code = panel.takes.get(take=takes[1]).code
    assert any(
        f"Petra Lohe gave take {code} 3 points" in sentence for sentence in outliers_of(results_of(everyone))
    )


def test_until_the_closing_no_name_is_told_and_after_it_all(as_user, director, everyone, takes, listeners):
    for take in takes:
        for user in listeners:
            mark(everyone, user, take, 7, 7, 7)
    browser, address = as_user(director), reverse("panel_detail", args=[everyone.pk])
    export = reverse("panel_export", args=[everyone.pk])
    assert "Leonora Rothenfels" not in browser.get(address).text
    assert browser.get(export).status_code == 404
    close_panel(everyone)
    page = browser.get(address).text
    assert "Leonora Rothenfels" in page
    assert "21 of 30" in page
    assert browser.get(export).status_code == 200
    told = Event.objects.filter(about="panel", about_number=everyone.pk).order_by("pk")
    assert list(told.values_list("kind", flat=True)) == [Event.Kind.PANEL_CLOSED, Event.Kind.EXPORTED]


def test_the_page_asks_as_much_for_many_takes_as_for_few(
    as_user,
    director,
    everyone,
    django_assert_max_num_queries,
    requirement,
    other_teacher,
    audition,
    listeners,
):
    close_panel(everyone)
    address = reverse("panel_detail", args=[everyone.pk])
    browser = as_user(director)
    browser.get(address)
    with django_assert_max_num_queries(30) as few:
        browser.get(address)
    for number in range(8):
        take = stored_take(make_player(f"Player {number}", other_teacher, audition), requirement, b"sound")
        row = everyone.takes.create(take=take, code=f"Z2{number}")
        for listener in everyone.listeners.all():
            listener.sheets.create(panel_take=row, position=50 + number)
    with django_assert_max_num_queries(len(few)):
        browser.get(address)


def test_the_table_is_defused(as_user, director, everyone, takes, listeners):
    Student.objects.filter(name="Leonora Rothenfels").update(name="=Lena()")
    mark(everyone, listeners[0], takes[1], 7, 7, 7, remark="+1 for the ending")
    close_panel(everyone)
    answer = as_user(director).get(reverse("panel_export", args=[everyone.pk]))
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert len(rows) == 9
    [row] = [row for row in rows if row["Remark"]]
    assert (row["Student"], row["Remark"], row["Total"]) == ("'=Lena()", "'+1 for the ending", "21")


def test_seats_are_drafted_and_the_director_moves_them(as_user, director, everyone, takes, listeners):
    for take, value in zip(takes, (5, 9, 7), strict=True):
        for user in listeners:
            mark(everyone, user, take, value, value, value)
    close_panel(everyone)

    def order():
        return [seat.entry.student.name for seat in everyone.seats.all()]

    assert order() == ["Leonora Rothenfels", "Odilo Kammerstein", "Mira Tannhof"]
    last = everyone.seats.last()
    browser, address = as_user(director), reverse("panel_seats", args=[everyone.pk])
    browser.post(address, {f"seat-{last.pk}": "1"})
    assert order() == ["Mira Tannhof", "Leonora Rothenfels", "Odilo Kammerstein"]
    first = everyone.seats.first()
    browser.post(address, {f"seat-{first.pk}": "2"})
    assert order() == ["Leonora Rothenfels", "Mira Tannhof", "Odilo Kammerstein"]
    browser.post(address, {f"seat-{first.pk}": "soon", "seat-x": "1"})
    assert order() == ["Leonora Rothenfels", "Mira Tannhof", "Odilo Kammerstein"]


def test_remarks_go_into_the_draft_once_and_nothing_is_sent(
    as_user, director, teacher, everyone, takes, listeners
):
    mark(everyone, listeners[1], takes[0], remark="Sing the last line.")
    mark(everyone, listeners[2], takes[0], remark="A warm sound.")
    close_panel(everyone)
    code = everyone.takes.get(take=takes[0]).code
    address = reverse("panel_remarks", args=[everyone.pk, code])
    browser = as_user(director)
    browser.post(address)
    browser.post(address)
    review = Review.objects.get(take=takes[0])
    assert review.state == Review.State.DRAFT
    assert review.words.count("Sing the last line.") == 1
    assert "A warm sound." in review.words
    assert not any(user.name in review.words for user in listeners)
    assert as_user(teacher).post(address).status_code == 403


def test_an_answer_that_was_given_stays_as_it_is(as_user, director, everyone, takes, listeners):
    mark(everyone, listeners[1], takes[0], remark="Too late.")
    close_panel(everyone)
    Review.objects.create(take=takes[0], state=Review.State.RELEASED, words="Well done.")
    row = everyone.takes.get(take=takes[0])
    page = as_user(director).post(reverse("panel_remarks", args=[everyone.pk, row.code]), follow=True)
    assert "Withdraw the answer first" in page.text
    assert Review.objects.get(take=takes[0]).words == "Well done."
    row.refresh_from_db()
    assert row.handed_on_at is None
