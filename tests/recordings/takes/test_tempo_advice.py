"""The fastest tempo that held, from a student's own takes."""

import gzip
import json
from importlib import import_module
from pathlib import Path

from recordings.models.analysis import in_tune_share, right_share
from recordings.takes.tempo_advice import Held, TakeAtTempo, advise, tempo_advice
from tests.recordings.conftest import finish, plain_take

LOW, HIGH = 88.0, 110.0
FIXTURES = Path(__file__).resolve().parents[3] / "fixtures"


def at(bpm: float, right: float = 1.0, in_tune: float | None = 0.9) -> TakeAtTempo:
    return TakeAtTempo(bpm, right, in_tune)


def test_never_from_fewer_than_three_takes():
    assert advise([at(72), at(96, 0.8)], low_bpm=LOW, high_bpm=HIGH) is None


def test_up_to_where_more_notes_went_wrong():
    advice = advise([at(96, 0.9), at(72), at(84), at(104, 0.85)], low_bpm=LOW, high_bpm=HIGH)
    assert (advice.held, advice.bpm, advice.came_apart_bpm) == (Held.UP_TO, 84, 96)
    assert [(take.bpm, take.held) for take in advice.takes] == [
        (72, True), (84, True), (96, False), (104, False),
    ]  # fmt: skip


def test_up_to_where_it_went_out_of_tune_though_every_note_was_there():
    advice = advise(
        [at(72, in_tune=0.9), at(84, in_tune=0.86), at(100, in_tune=0.6)], low_bpm=LOW, high_bpm=HIGH
    )
    assert (advice.held, advice.bpm, advice.came_apart_bpm) == (Held.UP_TO, 84, 100)


def test_a_player_is_held_to_the_own_best_and_to_nobody_elses():
    modest = [at(60, 0.93, 0.6), at(72, 0.92, 0.58), at(90, 0.8, 0.4)]
    assert advise(modest, low_bpm=LOW, high_bpm=HIGH).bpm == 72


def test_what_the_measuring_cannot_part_is_no_difference():
    advice = advise([at(72, 1.0, 0.9), at(84, 0.98, 0.82), at(86, 0.975, 0.81)], low_bpm=LOW, high_bpm=HIGH)
    assert (advice.held, advice.bpm) == (Held.EVERYWHERE, 86)


def test_a_tempo_that_is_asked_for():
    assert advise([at(72), at(84), at(96)], low_bpm=LOW, high_bpm=HIGH).held is Held.UP_TO_THE_MARK


def test_faster_than_anything_asked_for_is_no_tempo_that_is_asked_for():
    assert advise([at(72), at(96), at(130)], low_bpm=LOW, high_bpm=HIGH).held is Held.PAST_THE_MARK
    assert advise([at(72), at(96), at(112)], low_bpm=LOW, high_bpm=HIGH).held is Held.UP_TO_THE_MARK


def test_no_tempo_is_named_where_the_most_right_and_the_best_in_tune_were_two_takes():
    takes = [at(80, 1.0, 0.5), at(90, 0.8, 0.95), at(70, 0.9, 0.8)]
    advice = advise(takes, low_bpm=LOW, high_bpm=HIGH)
    assert advice.held is Held.NOWHERE_SURE
    assert not any(take.held for take in advice.takes)


def test_slow_takes_that_held_no_better_prove_nothing():
    takes = [at(70, 0.8), at(80, 0.85), at(90, 0.82), at(100, 1.0)]
    assert advise(takes, low_bpm=LOW, high_bpm=HIGH).held is Held.NOWHERE_SURE


def test_what_was_untidy_and_is_clean_now_has_been_learned():
    clean_now = [at(108), at(107, in_tune=0.6), at(105, in_tune=0.7), at(65)]
    assert advise(clean_now, low_bpm=LOW, high_bpm=HIGH).held is Held.UP_TO_THE_MARK
    untidy_now = [at(107, in_tune=0.6), at(105, in_tune=0.7), at(108), at(65)]
    assert advise(untidy_now, low_bpm=LOW, high_bpm=HIGH).held is Held.NOWHERE_SURE


def test_one_bad_slow_take_among_good_ones_does_no_harm():
    takes = [at(70, 0.8), at(76), at(84), at(100, 0.85)]
    assert (
        advise(takes, low_bpm=LOW, high_bpm=HIGH).held,
        advise(takes, low_bpm=LOW, high_bpm=HIGH).bpm,
    ) == (Held.UP_TO, 84)


def test_without_a_judgement_of_intonation_the_notes_alone_count():
    advice = advise(
        [at(72, in_tune=None), at(84, in_tune=None), at(100, 0.8, None)], low_bpm=LOW, high_bpm=HIGH
    )
    assert (advice.bpm, advice.came_apart_bpm) == (84, 100)


def made(entry, requirement, number: int, bpm: float, right: float, **facts):
    take = plain_take(entry, requirement, minutes_ago=100 - number, sha256=f"{number:064}")
    finish(take, metronome_bpm=bpm, right_share=right, in_tune_share=0.9, **facts)
    return take


def test_from_rows(entry, requirement):
    takes = [
        made(entry, requirement, 1, 72.2, 1.0),
        made(entry, requirement, 2, 84.4, 0.99),
        made(entry, requirement, 3, 96.0, 0.9),
    ]
    advice = tempo_advice(requirement, takes)
    assert (advice.held, advice.bpm, advice.came_apart_bpm) == (Held.UP_TO, 84.4, 96.0)
    assert "bpm=84" in advice.play_query


def test_practice_is_no_faster_than_what_is_asked_for(entry, requirement):
    takes = [made(entry, requirement, n, 90.0 + 20 * n, 1.0) for n in range(3)]
    advice = tempo_advice(requirement, takes)
    assert (advice.held, advice.practise_bpm) == (Held.PAST_THE_MARK, 104)
    assert "bpm=104" in advice.play_query


def test_what_says_nothing_is_left_out(entry, requirement):
    made_of_this = [made(entry, requirement, n, 72.0 + n, 1.0) for n in range(2)]
    others = [
        made(entry, requirement, 11, 100.0, 0.5, score_hash="of another edition"),
        made(entry, requirement, 12, 101.0, 0.5, share_played=0.3),
        made(entry, requirement, 13, 102.0, 0.5, unusable="other_music"),
        plain_take(entry, requirement, sha256="9" * 64),
    ]
    assert tempo_advice(requirement, made_of_this + others) is None


def test_only_the_latest_eight(entry, requirement):
    early = [made(entry, requirement, n, 60.0, 0.2) for n in range(5)]
    late = [made(entry, requirement, 10 + n, 80.0 + n, 1.0) for n in range(8)]
    assert len(tempo_advice(requirement, early + late).takes) == 8


def test_takes_measured_before_get_their_shares_from_their_documents():
    migration = import_module("recordings.migrations.0009_shares_of_notes")
    for path in sorted((FIXTURES / "analyses").glob("*.json.gz")):
        document = json.loads(gzip.decompress(path.read_bytes()))["result"]
        assert migration.shares(document) == (right_share(document), in_tune_share(document))
        assert 0.5 < right_share(document) <= 1.0
    assert migration.shares({}) == (None, None)
