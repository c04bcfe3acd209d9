"""Small MIDI, ABC and kern files made for the tests."""

import struct

ABC = b"""X:1
T:Candle Tune
C:Nobody Real
M:4/4
L:1/4
Q:1/4=100
K:D
|:DEFG|[1 A2 (3A/B/c/ d:|[2 A4|]
"""

KERN = b"""!!!OTL: Two Candles
**kern\t**kern
*I"Cello\t*I"Violin
*clefF4\t*clefG2
*k[f#]\t*k[f#]
*M4/4\t*M4/4
=1\t=1
4C\t4gg
4D\t4aa
2E\t2bb
=2\t=2
1C\t1ff#
==\t==
*-\t*-
"""

FOUR_FOUR = b"\xff\x58\x04\x04\x02\x18\x08"
THREE_FOUR = b"\xff\x58\x04\x03\x02\x18\x08"
AT_100 = b"\xff\x51\x03\x09\x27\xc0"
D_MAJOR = b"\xff\x59\x02\x02\x00"

Events = list[tuple[int, bytes]]


def _number(value: int) -> bytes:
    out = [value & 127]
    while value := value >> 7:
        out.append(128 | value & 127)
    return bytes(reversed(out))


def track(events: Events) -> bytes:
    body = b"".join(_number(wait) + event for wait, event in events) + b"\x00\xff\x2f\x00"
    return b"MTrk" + struct.pack(">I", len(body)) + body


def midi(*tracks: Events, division: int = 480, kind: int = 1) -> bytes:
    head = b"MThd" + struct.pack(">IHHH", 6, kind, len(tracks), division)
    return head + b"".join(track(events) for events in tracks)


def named(name: str) -> tuple[int, bytes]:
    return 0, b"\xff\x03" + bytes([len(name)]) + name.encode()


def played(pitches: list[int], *, length: int = 480, channel: int = 0, late: int = 0) -> Events:
    """Notes one after the other; `late` shifts every second one, as a hand does."""
    events = []
    for place, pitch in enumerate(pitches):
        shift = late if place % 2 else -late if place else 0
        events += [(max(0, shift), bytes([0x90 | channel, pitch, 80]))]
        events += [(length - max(0, shift), bytes([0x80 | channel, pitch, 0]))]
    return events
