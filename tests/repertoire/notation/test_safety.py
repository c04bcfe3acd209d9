"""Hostile and broken files: each is refused with a sentence, quickly and in little memory."""

import io
import random
import tracemalloc
import zipfile

import pytest

from repertoire.notation.read.reading import read_score, read_score_in_child
from repertoire.notation.read.safety import Limits, parse
from repertoire.notation.score import BadScore
from repertoire.wording.words import words
from tests.refusals import refusal

from .makers import (
    CONTAINER,
    attributes,
    bars,
    ending,
    note,
    part,
    piece,
    repeat_end,
    repeat_start,
    rest,
    score,
    zipped,
)


def refused(data: bytes, match: str, **kwargs) -> None:
    with refusal(match):
        read_score(data, **kwargs)


@pytest.mark.parametrize(
    ("data", "match"),
    [
        (b"", "empty"),
        (b"   \n", "not a MusicXML"),
        (b"la la la", "not a MusicXML"),
        (b"%PDF-1.7 stuff", "a PDF, not MusicXML"),
        (b"MThd\x00\x00\x00\x06", "MIDI file breaks off"),
        (b"\x89PNG\r\n\x1a\n", "a picture"),
        (b"<!doctype html><html></html>", "a web page"),
        (b"<?xml version='1.0'?><svg xmlns='http://www.w3.org/2000/svg'/>", "not a MusicXML"),
        (b"<?xml version='1.0' encoding='klingon'?><score-partwise/>", "MusicXML|damaged"),
        (b"<score-timewise/>", "part by part"),
        (b"<opus/>", "several scores"),
        (b"<score-partwise/>", "no part with bars"),
    ],
)
def test_other_files_are_named(data, match):
    refused(data, match)


def test_cut_off_file_says_after_which_bar():
    data = piece(8)
    refused(data[: data.index(b'<measure number="6"') + 200], r"damaged after bar 6 \(line \d+\)")


def test_cut_off_before_any_bar_says_the_line():
    refused(piece(2)[:200], "damaged at line 1")


def test_empty_part_and_part_of_rests():
    refused(score('<part id="P1"></part>'), "no part with bars")
    refused(score(part([f'<measure number="1">{attributes()}{rest(8)}</measure>'])), "no notes with a pitch")


BOMB = (
    b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;">]>'
    b"<score-partwise>&b;</score-partwise>"
)
OUTSIDE = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]><x>&a;</x>'


@pytest.mark.parametrize("data", [BOMB, OUTSIDE])
def test_entities_are_refused(data):
    refused(data, "XML entities")
    refused(zipped({"score.xml": data}), "XML entities")


def test_repeats_within_repeats_do_not_make_a_small_file_endless():
    nested = {
        1: (repeat_start(), ""),
        2: (repeat_start(), ""),
        3: (repeat_start(), repeat_end(16)),
        4: ("", repeat_end(16)),
        5: ("", repeat_end(16)),
    }
    refused(piece(5, nested), "plays more than 9000 notes", limits=Limits(played_notes=9000))
    assert len(read_score(piece(5, nested)).score.order) > 4096


@pytest.mark.parametrize("number", ["²", "9" * 5000, "1-" + "9" * 5000, "²-³"])
def test_numbers_that_are_none_do_not_end_the_reader(number):
    in_an_ending = {2: (ending(number, "start"), ending(number, "stop", repeat=True))}
    for marks in (in_an_ending, {2: ("", repeat_end(number))}):
        refusal = outcome(piece(3, marks))
        assert refusal.endswith(".") or not refusal


def test_zip_bomb_is_stopped_while_it_unpacks():
    bomb = zipped({"score.xml": b" " * 200_000_000})
    assert len(bomb) < 1_000_000
    tracemalloc.start()
    refused(bomb, "unpacks to more than 20 MB")
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 60_000_000


def test_bomb_in_the_container_is_stopped_too():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("META-INF/container.xml", b" " * 10_000_000)
    refused(out.getvalue(), "unpacks to more than")


def test_lying_size_in_the_header_does_not_help():
    data = bytearray(zipped({"score.xml": b" " * 30_000_000}))
    at = data.index(b"PK\x01\x02", data.index(b"PK\x01\x02") + 1)
    data[at + 24 : at + 28] = (1000).to_bytes(4, "little")
    refused(bytes(data), "damaged|unpacks to more")


def test_too_many_members():
    refused(zipped({f"{k}.xml": b"x" for k in range(100)}), "holds 101 files")


@pytest.mark.parametrize(
    "name", ["../score.xml", "/etc/score.xml", "a/../../score.xml", "..\\score.xml", "C:\\s.xml"]
)
def test_names_that_leave_the_archive(name):
    refused(zipped({name: piece(1)}, root=None), "outside itself")
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("META-INF/container.xml", CONTAINER.format(path=name))
        archive.writestr("score.xml", piece(1))
    refused(out.getvalue(), "outside itself")


def test_locked_zip():
    data = bytearray(zipped({"score.xml": piece(1)}))
    for magic, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = data.index(magic)
        data[at + offset] |= 1
    refused(bytes(data), "password")


def test_zip_without_a_score_and_without_a_container():
    refused(zipped({"readme.txt": b"hello"}, root=None), "holds no score")
    assert len(read_score(zipped({"only.musicxml": piece(2)}, root=None)).score.measures) == 2


def test_damaged_zip():
    data = zipped({"score.xml": piece(8)})
    refused(data[: len(data) // 2], "damaged")
    refused(b"PK\x03\x04 not really a zip", "damaged")
    flipped = bytearray(data)
    flipped[len(data) // 2] ^= 0xFF
    refused(bytes(flipped), "damaged")


def test_sizes_are_capped():
    refused(b"<" + b" " * 21_000_000, "larger than 20 MB")
    refused(b"PK\x03\x04" + bytes(6_000_000), "larger than 5 MB")


def test_measures_and_notes_are_capped():
    refused(piece(12), "12 bars; at most 10", limits=Limits(measures=10))
    refused(piece(12), "48 notes; at most 40", limits=Limits(notes=40))


def test_endless_repeats_are_refused():
    refused(piece(3, {2: ("", repeat_end(5000))}), "Bar 2: a repeat is to be played more than 16 times")


def test_deep_and_crowded_xml():
    with refusal("nested far deeper"):
        parse(b"<a>" * 1000 + b"</a>" * 1000)
    with refusal("far more than a score"):
        parse(b"<a>" + b"<b/>" * 100 + b"</a>", Limits(elements=50))


@pytest.mark.parametrize(
    ("content", "match"),
    [
        (attributes() + note("H"), "Bar 1: a note has no readable pitch"),
        (attributes() + note("C", 99), "Bar 1: a note has no readable pitch"),
        (
            attributes() + note().replace("<duration>2", "<duration>long"),
            "Bar 1: a note has no readable length",
        ),
        (attributes() + note(duration=-2), "Bar 1: a note has no readable length"),
        (attributes() + note().replace("<duration>2</duration>", ""), "Bar 1: a note has no readable length"),
        (attributes() + note(duration=10**9), "Bar 1: a note has no readable length"),
        (note(), "Bar 1: the file does not say how long"),
        (attributes(divisions=0) + note(), "Bar 1: the file does not say how long"),
        (attributes(beats=0) + note(), "Bar 1: the time signature"),
        (attributes() + "<backup><duration>4</duration></backup>" + note(), "Bar 1: the voices"),
    ],
)
def test_unreadable_music_says_the_bar(content, match):
    refused(score(part([f'<measure number="1">{content}</measure>'])), match)


def test_links_pictures_and_scripts_do_not_reach_the_stored_score():
    extra = '<link xmlns:xlink="http://www.w3.org/1999/xlink" xlink:href="http://example.org/x"/>'
    credit = '<credit><credit-image source="http://example.org/x.png" type="image/png"/></credit>'
    data = score(part(bars(1, {1: (extra, "")})), head=credit)
    stored = read_score(data).musicxml
    assert "example.org" not in stored
    assert "DOCTYPE" not in stored


def test_child_is_stopped_when_it_takes_too_long():
    with refusal("took too long"):
        read_score_in_child(piece(2), timeout_s=0.001)


def test_child_out_of_memory_is_a_sentence():
    with refusal("too much memory"):
        read_score_in_child(piece(600), memory_mb=60)


@pytest.mark.parametrize(
    ("signal", "match"), [("SEGV", "may contradict each other"), ("KILL", "send it once more")]
)
def test_crash_of_the_engraver_and_a_kill_are_sentences(ended_by, signal, match):
    ended_by(signal)
    with refusal(match):
        read_score_in_child(piece(2))


def test_nothing_but_bad_score_comes_out_of_damaged_text():
    """Random cuts, swaps and byte flips of a good file either read or are refused, never anything else."""
    chance = random.Random(20261125)
    good = piece(4)
    sentences = [outcome(damaged(good, chance)) for _ in range(150)]
    assert "" in sentences
    assert all(sentence.endswith(".") for sentence in sentences if sentence)
    assert sum(bool(sentence) for sentence in sentences) > 20


def damaged(good: bytes, chance: random.Random) -> bytes:
    data = bytearray(good)
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(data))
        data[at : at + chance.randint(0, 6)] = bytes(chance.choices(b'<>/"&0123abc=', k=chance.randint(0, 6)))
    return bytes(data)


def outcome(data: bytes) -> str:
    """The sentence of the refusal, or nothing when the file was read."""
    try:
        read_score(data)
    except BadScore as error:
        return words(error.sentence)
    return ""
