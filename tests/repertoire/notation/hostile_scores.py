"""A hundred scores nobody should send, in every format, each with a name of its own."""

import random
import re
import struct
from collections.abc import Iterator

from .foreign_makers import ABC, FOUR_FOUR, KERN, midi, played, track
from .makers import attributes, bars, ending, note, part, piece, repeat_end, repeat_start, rest, score, zipped

MEGABYTE = 1024 * 1024
XML = b'<?xml version="1.0" encoding="UTF-8"?>'


def scores() -> Iterator[tuple[str, bytes]]:
    """Names and bytes; the same hundred every time."""
    dice = random.Random(4)
    yield from _no_scores()
    yield from _bombs()
    yield from _huge()
    yield from _broken_musicxml(dice)
    yield from _strange_music()
    yield from _contradictions()
    yield from _midi(dice)
    yield from _texts(dice)


def _no_scores() -> Iterator[tuple[str, bytes]]:
    yield "nothing", b""
    yield "blanks", b" \n" * 1000
    yield "zeros", bytes(100_000)
    yield "noise", random.Random(1).randbytes(200_000)
    yield "pdf", b"%PDF-1.7\n" + b"x" * 1000
    yield "picture", b"\x89PNG\r\n\x1a\n" + b"x" * 1000
    yield "web page", b"<!DOCTYPE html><html><body>music</body></html>"
    yield "address", b"https://example.org/score.musicxml"
    yield "path", b"/etc/passwd"
    yield "svg", XML + b'<svg xmlns="http://www.w3.org/2000/svg"/>'
    yield "timewise", XML + b"<score-timewise/>"
    yield "opus", XML + b"<opus/>"
    yield "utf-16 without a mark", piece(2).decode().encode("utf-16-le")
    yield "unknown encoding", piece(2).replace(b"UTF-8", b"klingon")


def _bombs() -> Iterator[tuple[str, bytes]]:
    laughs = "".join(f'<!ENTITY a{k} "{f"&a{k - 1};" * 10}">' for k in range(1, 12))
    doctype = f'<!DOCTYPE score-partwise [<!ENTITY a0 "ha">{laughs}]>'
    yield "entity bomb", f"<?xml version='1.0'?>{doctype}<score-partwise>&a11;</score-partwise>".encode()
    for name, target in (("file", "file:///etc/passwd"), ("net", "http://127.0.0.1:9/x")):
        outside = f'<!DOCTYPE x [<!ENTITY e SYSTEM "{target}">]><score-partwise>&e;</score-partwise>'
        yield f"outside entity, {name}", outside.encode()
    yield "parameter entity", b'<!DOCTYPE x [<!ENTITY % p SYSTEM "file:///etc/hostname"> %p;]><x/>'
    yield "blanks zipped to nothing", zipped({"score.xml": XML + b" " * (300 * MEGABYTE)})
    yield "bars zipped to nothing", zipped({"score.xml": piece(1) * 60_000})
    yield "zip in zip", zipped({"score.xml": zipped({"score.xml": piece(2)})})
    yield "thousand members", zipped({f"{k}.xml": b"<x/>" for k in range(1000)})
    yield "name outside", zipped({"../score.xml": piece(2)}, root="../score.xml")
    yield "absolute name", zipped({"/etc/score.xml": piece(2)}, root="/etc/score.xml")
    yield "container names nothing", zipped({"a.xml": piece(2), "b.xml": piece(2)}, root="c.xml")
    yield (
        "container entity bomb",
        zipped({"META-INF/container.xml": doctype.encode(), "s.xml": piece(1)}, root=None),
    )
    cut = zipped({"score.xml": piece(50)})
    yield "cut zip", cut[: len(cut) // 2]
    yield "zip with wrong sums", cut[:60] + b"\xff" * 20 + cut[80:]


def _huge() -> Iterator[tuple[str, bytes]]:
    yield "2001 bars", piece(2001)
    yield "20 MB and more", piece(20_000) + b" " * (10 * MEGABYTE)
    yield "a note too many", score(part([_bar(note() * 20_001)]))
    yield "20,000 notes in one bar", score(part([_bar(note() * 20_000)]))
    yield (
        "40 parts of 200 bars",
        score(*[part(bars(200), part_id=f"P{k}") for k in range(1, 41)], names=("x",) * 40),
    )
    yield "very deep", XML + b"<score-partwise>" + b"<a>" * 100_000
    yield "million elements", XML + b"<score-partwise>" + b"<a/>" * 1_300_000 + b"</score-partwise>"
    yield (
        "long title",
        piece(1).replace(
            b"<part-list>", b"<movement-title>" + b"x" * 5 * MEGABYTE + b"</movement-title><part-list>"
        ),
    )
    yield (
        "100,000 attributes",
        piece(1).replace(b"<note>", b"<note " + b" ".join(b'a%d="1"' % k for k in range(100_000)) + b">", 1),
    )
    yield "chord of 5000", score(part([_bar(note() + note(head="<chord/>") * 5000)]))
    yield (
        "300 voices",
        score(
            part(
                [
                    _bar(
                        "".join(
                            note(voice=k) + "<backup><duration>2</duration></backup>" for k in range(1, 301)
                        )
                    )
                ]
            )
        ),
    )
    yield (
        "2000 slurs open",
        score(
            part(
                [
                    _bar(
                        "".join(
                            note(notations=f'<slur type="start" number="{k % 16}"/>') for k in range(2000)
                        )
                    )
                ]
            )
        ),
    )


def _broken_musicxml(dice: random.Random) -> Iterator[tuple[str, bytes]]:
    whole = piece(12)
    for k in range(4):
        yield f"cut {k}", whole[: dice.randrange(300, len(whole) - 20)]
    for k in range(6):
        bent = bytearray(whole)
        for _ in range(6):
            bent[dice.randrange(200, len(bent))] = dice.randrange(32, 126)
        yield f"bent {k}", bytes(bent)
    yield "no divisions", whole.replace(b"<divisions>2</divisions>", b"")
    yield "zero divisions", whole.replace(b"<divisions>2<", b"<divisions>0<")
    yield "length in words", whole.replace(b"<duration>2<", b"<duration>two<", 1)
    yield "length below zero", whole.replace(b"<duration>2<", b"<duration>-2<", 1)
    yield "length without end", whole.replace(b"<duration>2<", b"<duration>1e300<", 1)
    yield "not a number", whole.replace(b"<duration>2<", b"<duration>nan<", 1)
    yield "step H", whole.replace(b"<step>D<", b"<step>H<", 1)
    yield "octave 99", whole.replace(b"<octave>5<", b"<octave>99<", 1)
    yield "altered by a thousand", whole.replace(b"<octave>5<", b"<alter>1000</alter><octave>5<", 1)
    yield (
        "backing up too far",
        score(part([_bar(note() + "<backup><duration>999</duration></backup>" + note())])),
    )
    yield "metre 0/0", whole.replace(b"<beats>4<", b"<beats>0<").replace(b"<beat-type>4<", b"<beat-type>0<")
    yield "metre of words", whole.replace(b"<beats>4<", b"<beats>four<")


def _strange_music() -> Iterator[tuple[str, bytes]]:
    drums = "<note><unpitched/><duration>2</duration></note>"
    yield "only rests", score(part([_bar(rest(8))]))
    yield "only percussion", score(part([_bar(drums * 4)]))
    yield "empty part", score(part([]))
    yield "no part", score()
    yield "no time signature", piece(3).replace(b"<time><beats>4</beats><beat-type>4</beat-type></time>", b"")
    yield "pickup only", score(part([f'<measure number="0" implicit="yes">{attributes()}{note()}</measure>']))
    yield "only grace notes", score(part([_bar(note(head="<grace/>") * 4)]))
    yield "only hidden notes", score(part([_bar(note().replace("<note>", '<note print-object="no">') * 4)]))
    yield "far too high", score(part([_bar(note(octave=9) * 4)]))
    yield "same number on every bar", re.sub(rb'number="\d+"', b'number="1"', piece(20))
    yield "script for a title", piece(1).replace(b"Violin", b"&lt;script&gt;alert(1)&lt;/script&gt;")
    yield "ties to nowhere", score(part([_bar(note(after_duration='<tie type="start"/>') * 4)]))


def _contradictions() -> Iterator[tuple[str, bytes]]:
    sound = '<sound {}="x"/>'
    yield "endless repeat", piece(4, {2: ("", repeat_end(999))})
    yield "ending 2 without 1", piece(4, {3: (ending("2", "start"), ending("2", "stop"))})
    yield (
        "ending inside ending",
        piece(
            5,
            {
                2: (ending("1", "start"), ""),
                3: (ending("2", "start"), ending("2", "stop")),
                4: ("", ending("1", "stop")),
            },
        ),
    )
    yield "segno nowhere", piece(4, {4: ("", sound.format("dalsegno"))})
    yield "coda nowhere", piece(4, {2: ("", sound.format("tocoda")), 4: ("", '<sound dacapo="yes"/>')})
    yield (
        "20 repeats inside each other",
        piece(
            40,
            {k: (repeat_start(), "") for k in range(1, 21)} | {k: ("", repeat_end()) for k in range(21, 41)},
        ),
    )
    yield (
        "ending for time 999",
        piece(4, {2: (ending("1-999", "start"), ending("1-999", "stop", repeat=True))}),
    )
    yield (
        "every sign in one bar",
        piece(
            3,
            {
                2: (
                    repeat_start() + "".join(sound.format(k) for k in ("segno", "coda", "fine")),
                    repeat_end()
                    + "".join(sound.format(k) for k in ("tocoda", "dalsegno"))
                    + '<sound dacapo="yes"/>',
                )
            },
        ),
    )


def _midi(dice: random.Random) -> Iterator[tuple[str, bytes]]:
    good = midi([(0, FOUR_FOUR)], played([60, 62, 64, 65] * 8))
    for k in range(5):
        bent = bytearray(good)
        for _ in range(4):
            bent[dice.randrange(14, len(bent))] = dice.randrange(256)
        yield f"midi bent {k}", bytes(bent)
    yield "midi cut", good[:-30]
    yield "midi head alone", good[:14]
    yield "midi of 4 GB by its head", b"MThd" + struct.pack(">IHHH", 6, 1, 1, 480) + b"MTrk\xff\xff\xff\xff"
    yield "midi in seconds", b"MThd" + struct.pack(">IHHH", 6, 1, 1, 0xE728) + track(played([60]))
    yield "midi without notes", midi([(0, FOUR_FOUR)])
    yield "midi drums", midi(played([36, 38], channel=9))
    yield "midi a million bars long", midi([(2**28 - 1, b"\x90\x3c\x50"), (480, b"\x80\x3c\x00")], division=1)
    yield "midi of 100,000 notes", midi(played([60, 62] * 50_000, length=1))
    yield "midi of 1000 tracks", midi(*[played([60])] * 1000)
    yield (
        "midi notes on top of each other",
        midi(
            [(0, bytes([0x90, p, 80])) for p in range(128)] * 20
            + [(480, bytes([0x80, p, 0])) for p in range(128)]
        ),
    )
    yield "midi metre change every tick", midi([(1, FOUR_FOUR)] * 5000, played([60] * 4))


def _texts(dice: random.Random) -> Iterator[tuple[str, bytes]]:
    yield "abc without music", b"X:1\nM:4/4\nK:C\n"
    yield "abc ten tunes", ABC * 10
    yield "abc bad signs", ABC.replace(b"DEFG", b"DE\xc2\xa7G")
    yield "abc open brackets", b"X:1\nK:C\n" + b"[" * 20_000 + b"C|\n"
    yield "abc tuplets of tuplets", b"X:1\nM:4/4\nK:C\n" + b"(9(9(9" * 3000 + b"C|\n"
    yield "abc length of a billion", b"X:1\nM:4/4\nL:1/4\nK:C\nC999999999|D|\n"
    yield "abc divided by zero", b"X:1\nM:4/0\nL:1/0\nK:C\nC/0 D|\n"
    yield "abc 60,000 notes", b"X:1\nM:4/4\nL:1/4\nK:C\n" + b"CDEF|" * 15_000
    yield "abc bars without end", b"X:1\nM:4/4\nL:1/4\nK:C\n" + b"C|" * 5000
    yield "kern cut", KERN[:-20]
    yield "kern without notes", b"**dynam\nf\n*-\n"
    yield "kern rubbish tokens", KERN.replace(b"4gg", b"4g~$%^")
    yield "kern columns do not match", KERN.replace(b"4D\t4aa", b"4D\t4aa\t4bb")
    yield (
        "kern splits without end",
        b"**kern\n" + b"\n".join(b"\t".join([b"*^"] * 2**k) for k in range(10)) + b"\n*-\n",
    )
    yield "kern of one megabyte", b"**kern\n*M4/4\n" + b"=1\n4c\n4d\n4e\n4f\n" * 60_000 + b"*-\n"
    yield "kern length nought", KERN.replace(b"4gg", b"00000gg")
    yield "kern noise", b"**kern\n" + bytes(dice.randrange(33, 126) for _ in range(5000)) + b"\n*-\n"


def _bar(content: str) -> str:
    return f'<measure number="1">{attributes()}{content}</measure>'
