"""Pitch habits in words on the teacher's page, and nothing where there are none."""

import pytest
from django.urls import reverse

from recordings.reviews.habits import own_system_words, pitch_habits, temperament_words
from tests.recordings.analysis.made import score
from tests.recordings.measured_take import make_take


def habit_group(group: str, name: str, cents: float, count: int = 9, low=None, high=None) -> dict:
    return {
        "group": group, "name": name, "deviation_cents": cents, "spread_cents": 3.0, "note_count": count,
        "agreeing_count": count, "low_midi": low, "high_midi": high,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("group", "name", "words"),
    [
        (habit_group("approach", "leap_up", -15.4, 17), "After leaps up", "15 cents low (17 notes)"),
        (habit_group("degree", "11", 13.0), "Leading notes", "13 cents high (9 notes)"),
        (habit_group("approach", "step_down", 2.0), "After steps down", "in place (9 notes)"),
        (habit_group("register", "high", 16.6, 33, 82, 88),
         "High notes (A sharp to E)", "17 cents high (33 notes)"),
        (habit_group("string", "1", -6.0, 5, 55, 61),
         "From the open G to the next string", "6 cents low (5 notes)"),
    ],
)  # fmt: skip
def test_each_group_has_a_line(group, name, words):
    [habit] = pitch_habits({"intonation": {"tendencies": [group]}}, score())
    assert (habit.name, habit.words) == (name, words)


def test_registers_are_named_as_printed_for_a_transposing_instrument():
    group = habit_group("register", "low", 0.0, 9, 58, 60)
    [habit] = pitch_habits({"intonation": {"tendencies": [group]}}, score(transposition=-2))
    assert habit.name == "Low notes (C to D)"


@pytest.mark.parametrize("result", [{}, {"intonation": {}}, {"intonation": {"tendencies": []}}])
def test_documents_without_habits_have_no_lines(result):
    assert pitch_habits(result, score()) == []
    assert temperament_words(result) == "equal temperament"


def test_the_review_page_shows_them(client, teacher, entry, requirement):
    take = make_take(entry, requirement)
    client.force_login(teacher)
    page = reverse("review", args=[take.pk])
    assert "Where the pitch leans" not in client.get(page).content.decode()
    take.analysis.result["intonation"]["tendencies"] = [habit_group("approach", "leap_up", -15.4, 17)]
    take.analysis.save(update_fields=["result"])
    shown = client.get(page).content.decode()
    assert "Where the pitch leans" in shown
    assert "15 cents low (17 notes)" in shown


@pytest.mark.parametrize(
    ("cents", "words"),
    [(1.9, "close to pure fifths"), (0.1, "close to equal temperament"), (1.0, "on the way to pure fifths"),
     (2.9, "than pure fifths have them"), (-1.0, "towards pure thirds")],
)  # fmt: skip
def test_the_players_own_system_is_said_as_a_fact(cents, words):
    leaning = {"cents_per_fifth": cents, "error_cents": 0.2, "middle": 2.0}
    assert words in own_system_words({"intonation": {"leaning": leaning}})


def test_an_unknown_system_and_an_old_document_say_nothing():
    assert own_system_words({"intonation": {"leaning": None}}) == ""
    assert own_system_words({"intonation": {}}) == own_system_words({}) == ""
