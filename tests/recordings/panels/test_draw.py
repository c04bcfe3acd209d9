"""Which takes are in a panel, under which codes, in whose order."""

from datetime import timedelta

import pytest
from django.utils import timezone

from recordings.models import Panel, Review, Take
from recordings.panels.draw import deal, draw_panel, left_out, takes_for
from studio.models import Consent, Guardianship, Handover, Role, Season
from tests.conftest import make_person
from tests.recordings.panels.conftest import make_player, stored_take

pytestmark = pytest.mark.django_db


def test_one_take_for_each_entry_and_requirement_and_the_last(takes, players, requirement, audition):
    newer = stored_take(players[1], requirement, b"sound")
    assert set(takes_for(audition)) == {takes[0], newer, takes[2]}


def test_a_take_its_teacher_wants_recorded_again_is_not_heard(takes, audition):
    Review.objects.create(take=takes[1], state="released", again="quiet")
    assert set(takes_for(audition)) == {takes[0], takes[2]}


@pytest.mark.parametrize("change", [{"for_panels": False}, {"withdrawn_at": timezone.now()}])
def test_a_minor_only_where_the_agreement_stands_and_says_so(takes, audition, change):
    Consent.objects.update(**change)
    assert set(takes_for(audition)) == set(takes[1:])
    [line] = left_out(audition)
    assert line.entry == takes[0].entry
    assert "no guardian has agreed" in line.reason


def test_no_take_past_its_time(takes, audition, season):
    gone = timezone.localdate() - timedelta(days=400)
    Season.objects.update(starts_on=gone, ends_on=gone)
    assert not takes_for(audition).exists()


def test_no_take_whose_sound_is_lost(takes, audition):
    Take.objects.filter(pk=takes[2].pk).update(sound_state=Take.SoundState.MISSING)
    assert set(takes_for(audition)) == set(takes[:2])


def test_codes_tell_nothing_and_differ(panel, takes):
    codes = [row.code for row in panel.takes.order_by("take")]
    assert len(set(codes)) == 3
    assert all(len(code) == 3 and not code.isalpha() for code in codes)
    assert not any(str(take.pk) == code for take, code in zip(takes, codes, strict=True))


def test_a_panel_drawn_again_from_its_seed_is_the_same(panel, listeners, audition, rubric, director):
    again = Panel(audition=audition, name="Again", rubric=rubric, made_by=director, seed="lamp")
    draw_panel(again, teachers=[], hear_own=False)
    assert list(again.takes.values_list("take", "code")) == list(panel.takes.values_list("take", "code"))


def test_each_listener_hears_them_in_an_order_of_its_own_which_is_kept(
    players, requirement, audition, rubric, director, listeners, other_teacher
):
    for number in range(12):
        entry = make_player(f"Player {number}", listeners[0], audition)
        stored_take(entry, requirement, b"sound")
    made = Panel(audition=audition, name="Many", rubric=rubric, made_by=director)
    panel = draw_panel(made, teachers=listeners, hear_own=True)

    def orders():
        return [tuple(row.sheets.values_list("panel_take", flat=True)) for row in panel.listeners.all()]

    before = orders()
    assert len({frozenset(order) for order in before}) == 1
    assert len(set(before)) == 3
    deal(panel)
    assert orders() == before


def test_own_students_go_to_the_others_while_there_are_two(panel, takes, sheets_of, listeners):
    heard = {
        user: {sheet.panel_take.take.entry.student.name for sheet in sheets_of(user)} for user in listeners
    }
    anselm, petra, veit = listeners
    assert heard[anselm] == {"Leonora Rothenfels", "Odilo Kammerstein"}
    assert heard[petra] == {"Mira Tannhof"}
    assert heard[veit] == {"Mira Tannhof", "Leonora Rothenfels", "Odilo Kammerstein"}


def test_students_handed_over_are_not_dealt_to_who_stands_in(
    takes, audition, rubric, director, listeners, third_teacher
):
    fourth = make_person("Ria Holm", Role.TEACHER)
    today = timezone.localdate()
    Handover.objects.create(teacher=listeners[0], colleague=third_teacher, from_day=today, until_day=today)
    made = Panel(audition=audition, name="Away", rubric=rubric, made_by=director)
    panel = draw_panel(made, teachers=[*listeners, fourth], hear_own=False)
    stands_in = panel.listeners.get(user=third_teacher)
    assert set(stands_in.sheets.values_list("panel_take__take", flat=True)) == {take.pk for take in takes[1:]}
    assert panel.listeners.get(user=fourth).sheets.count() == 3


def test_with_one_other_listener_own_students_are_heard_too(
    takes, audition, rubric, director, teacher, other_teacher
):
    made = Panel(audition=audition, name="Small", rubric=rubric, made_by=director)
    panel = draw_panel(made, teachers=[teacher, other_teacher], hear_own=False)
    assert [row.sheets.count() for row in panel.listeners.all()] == [3, 3]


def test_a_listeners_own_child_is_not_dealt_either(takes, audition, rubric, director, listeners):
    Guardianship.objects.create(guardian=listeners[2], student=takes[0].entry.student)
    made = Panel(audition=audition, name="Kin", rubric=rubric, made_by=director)
    panel = draw_panel(made, teachers=[*listeners, director], hear_own=False)
    kin = panel.listeners.get(user=listeners[2])
    assert takes[0].pk not in kin.sheets.values_list("panel_take__take", flat=True)
