"""Every rule said in a sentence: kept, broken, or left to a person, for six bodies that differ."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from recordings.sending.checks import check
from recordings.sending.facts import ChosenTake, Item, Submission, Verdict
from recordings.sending.limits import clock
from recordings.sending.name_words import name_words, tells_person
from recordings.sending.ways import How, Source, Way, way
from repertoire.wording.words import words
from studio.sending.rules import Rules
from tests.recordings.sending.six_bodies import BODIES

NOON = datetime(2026, 11, 2, 12, tzinfo=UTC)
MP3 = Source("mp3", has_picture=False, size_bytes=2_880_000, duration_s=120.0)  # 192 kbit/s
MP4 = Source("mp4", has_picture=True, size_bytes=80_000_000, duration_s=300.0)
LONG_VIDEO = replace(MP4, duration_s=900.0)


def chosen(source: Source, name: str, recording: str = "", **facts) -> ChosenTake:
    return ChosenTake(source, recording or name, name, **{"complete": True, **facts})


def sent(*takes: ChosenTake | None, **facts) -> Submission:
    """The takes of an etude, a scale and so on, sent the day before closing with everything signed."""
    musics = ("Lamp Etude", "D major", "Solo", "Study")
    items = tuple(Item(music, take) for music, take in zip(musics, takes, strict=False))
    everything = {"listened": True, "student_signed": True, "guardian_signed": True}
    return Submission(items, NOON, NOON + timedelta(days=1), **{**everything, **facts})


def told(body: str | Rules, submission: Submission, verdict: Verdict) -> set[str]:
    rules = BODIES[body] if isinstance(body, str) else body
    found = check(rules, submission)
    return {each.sentence.code.removeprefix("sending.") for each in found if each.verdict is verdict}


ONE_VIDEO = chosen(MP4, "violin 7.mp4", "same")
ONE_TRACK = chosen(MP3, "violin 7.mp3", "same")
PASSING = {
    "one_video": sent(ONE_VIDEO, ONE_VIDEO),
    "blind_files": sent(chosen(MP3, "7-1.mp3"), chosen(MP3, "7-2.mp3"), person=("mira", "tannhof")),
    "one_track": sent(ONE_TRACK, ONE_TRACK),
    "announced_in_order": sent(chosen(MP4, "1 Mira D major.mp4"), chosen(MP4, "2 Mira Etude.mp4")),
    "three_long_files": sent(*(chosen(LONG_VIDEO, f"{number}.mp4") for number in (1, 2, 3))),
    "small_and_signed": sent(chosen(MP3, "1 Lamp Etude.mp3"), chosen(MP3, "2 D major.mp3")),
}


@pytest.mark.parametrize("body", BODIES)
def test_what_keeps_the_rules_passes(body):
    found = check(BODIES[body], PASSING[body])
    assert [str(each.sentence) for each in found if each.verdict is not Verdict.KEPT] == []
    assert len(found) >= 5


FAILING = {
    "one_video": (
        sent(chosen(replace(MP4, duration_s=361.0), "a.mp4"), chosen(MP3, "b.mp3")),
        {"several_recordings", "too_long"},
    ),
    "blind_files": (
        sent(chosen(MP3, "7-1 Mira.mp3"), chosen(MP3, "7-2.mp3", complete=False), person=("mira", "tannhof")),
        {"name_tells", "not_complete"},
    ),
    "one_track": (sent(chosen(MP3, "a.mp3"), chosen(MP3, "b.mp3")), {"several_recordings"}),
    "announced_in_order": (sent(chosen(MP3, "1.mp3"), None), {"no_picture", "no_take"}),
    "three_long_files": (
        sent(*(chosen(replace(MP4, duration_s=1300.0), "1.mp4") for _ in range(3)), chosen(MP4, "4.mp4")),
        {"too_many_files", "together_too_long", "too_short"},
    ),
    "small_and_signed": (
        sent(chosen(replace(MP3, size_bytes=900_000), "1.mp3"), chosen(MP3, "2.mp3", whole=False)),
        {"rate_low", "damaged"},
    ),
}


@pytest.mark.parametrize("body", BODIES)
def test_each_broken_rule_is_told(body):
    submission, broken = FAILING[body]
    assert told(body, submission, Verdict.BROKEN) == broken


@pytest.mark.parametrize(
    ("body", "left_open"),
    [
        ("one_video", {"listen_order"}),
        ("one_track", {"listen_order", "listen_nobody_speaks", "student_to_sign"}),
        ("announced_in_order", {"listen_announced"}),
        ("small_and_signed", {"student_to_sign", "guardian_to_sign"}),
    ],
)
def test_what_no_measurement_tells_waits_for_a_person(body, left_open):
    waiting = replace(PASSING[body], listened=False, student_signed=False, guardian_signed=False)
    assert told(body, waiting, Verdict.OPEN) == left_open
    assert told(body, waiting, Verdict.BROKEN) == set()


def test_no_guardian_signs_for_who_is_of_age():
    grown = replace(PASSING["small_and_signed"], is_minor=False, guardian_signed=False)
    assert told("small_and_signed", grown, Verdict.OPEN) == set()


def test_without_a_guardians_agreement_nothing_is_to_be_sent():
    assert told(Rules(), replace(PASSING["blind_files"], agreed=False), Verdict.BROKEN) == {"not_agreed"}


def test_closed_is_closed():
    late = replace(PASSING["blind_files"], at=NOON + timedelta(days=1, seconds=1))
    assert told("blind_files", late, Verdict.BROKEN) == {"closed"}


def test_unknown_is_not_taken_for_kept():
    unmeasured = chosen(replace(MP3, duration_s=None), "1.mp3", complete=None)
    rules = Rules(longest_s=60, lowest_kbps=64)
    unknown = {"length_unknown", "rate_unknown", "complete_unknown"}
    assert told(rules, sent(unmeasured), Verdict.OPEN) == unknown


def test_a_limit_touched_is_kept_and_passed_by_a_hair_is_told():
    rules = Rules(longest_s=120, longest_total_s=240, largest_total_mb=6)
    files = [chosen(MP3, "1.mp3", made_bytes=3_000_000), chosen(MP3, "2.mp3", made_bytes=3_000_000)]
    assert told(rules, sent(*files), Verdict.BROKEN) == set()
    longer = chosen(replace(MP3, duration_s=120.01), "2.mp3", made_bytes=3_000_001)
    broken = {"too_long", "together_too_long", "together_too_large"}
    assert told(rules, sent(files[0], longer), Verdict.BROKEN) == broken


def test_a_sentence_names_the_music_and_both_lengths():
    rules = Rules(longest_s=60)
    sentences = [words(each.sentence) for each in check(rules, sent(chosen(MP3, "1.mp3")))]
    assert "“Lamp Etude”: 2:00 minutes, and 1:00 is the longest. Nothing is cut here." in sentences
    assert clock(120.01) == "2:01"


WEBM = Source("webm", has_picture=False, size_bytes=1_440_000, duration_s=120.0)
WAV = Source("wav", has_picture=False, size_bytes=23_040_000, duration_s=120.0)


@pytest.mark.parametrize(
    ("rules", "source", "expected"),
    [
        (Rules(), MP3, Way(How.KEEP, "mp3")),
        (Rules(judged_blind=True), MP3, Way(How.COPY, "mp3")),
        (Rules(formats=("mp3",)), WEBM, Way(How.ENCODE, "mp3", kbps=256)),
        (Rules(formats=("ogg", "mp3")), WEBM, Way(How.COPY, "ogg")),
        (Rules(formats=("mp3", "flac")), WEBM, Way(How.ENCODE, "flac")),
        (Rules(formats=("mp3", "wav"), largest_mb=5), WAV, Way(How.ENCODE, "mp3", kbps=256)),
        (Rules(formats=("mp3",), highest_kbps=128), MP3, Way(How.ENCODE, "mp3", kbps=128)),
        (Rules(formats=("m4a",)), replace(MP3, format="aac"), Way(How.COPY, "m4a")),
        (Rules(formats=("m4a",), picture="sound"), MP4, Way(How.COPY, "m4a")),
        (Rules(formats=("mp4",), picture="video"), MP4, Way(How.KEEP, "mp4", with_picture=True)),
        (Rules(formats=("mp4",), picture="video"), replace(WEBM, has_picture=True), None),
        (Rules(formats=("ogg",)), MP3, None),
        (Rules(formats=("mp3",), largest_mb=1), replace(WAV, duration_s=600.0), None),
    ],
)
def test_the_way_from_a_take_to_a_file_keeps_most_of_the_sound(rules, source, expected):
    assert way(rules, source) == expected


def test_a_take_nothing_fitting_can_be_made_of_is_refused_in_a_sentence():
    rules = Rules(formats=("ogg",))
    [refused] = [each for each in check(rules, sent(chosen(MP3, "1.mp3"))) if each.verdict is Verdict.BROKEN]
    assert words(refused.sentence) == (
        "“Lamp Etude”: MP3 cannot be made into any of OGG here. Please hand in the take in one of these."
    )


@pytest.mark.parametrize(
    ("text", "tells"),
    [("7-1 mira.mp3", True), ("TANNHOF 1.mp3", True), ("Admiral March.mp3", False), ("7-1.mp3", False)],
)
def test_a_name_is_found_as_a_word(text, tells):
    assert tells_person(text, name_words("Mira Tannhof")) is tells


def test_a_name_is_found_without_its_accents():
    assert tells_person("Zoe 1.mp3", name_words("Zoë de la Rue"))
