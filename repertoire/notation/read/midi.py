"""From MIDI bytes to the few events a score needs, within limits, before a music library sees them.

Format after the Standard MIDI Files 1.0 specification (from memory). Every channel of every track becomes a
track of its own; controllers, system messages, percussion and texts other than names are left out. Times are
ticks. Everything refused is a `BadScore`.

Read here and not by mido, which takes in whole tracks before anything can be counted: 2 MB of crowded or
empty events cost it 10 to 13 s, beyond the reader's time limit, and this 1 to 2 s (mido 1.3.3, two busy
cores, November 2026).
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass, field

from repertoire.notation import messages
from repertoire.notation.read.safety import Limits
from repertoire.notation.score import BadScore

PERCUSSION_CHANNEL = 9  # General MIDI's channel 10, counted from 0
MOST_QUARTERS = 8000  # 2000 bars of four quarters
MOST_EVENTS = 400_000
MOST_TEMPOS = 40  # more are the breathing of a performance, not marks
DATA_BYTES = {0x80: 2, 0x90: 2, 0xA0: 2, 0xB0: 2, 0xC0: 1, 0xD0: 1, 0xE0: 2}
NAME, END, TEMPO, METRE, KEY = 0x03, 0x2F, 0x51, 0x58, 0x59
FINEST = (8, 6)  # thirty-seconds and sixteenth triplets, where the file lies on them exactly
PLAIN = (4, 3)  # sixteenths and eighth triplets, for what was played in


@dataclass(slots=True)
class Voice:
    """One channel of one track."""

    track: int
    channel: int
    program: int | None = None
    notes: list[tuple[int, int, int]] = field(default_factory=list)  # start, end, pitch; times in ticks
    sounding: dict[int, list[int]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class CleanMidi:
    """A MIDI file with nothing left in it but what a score needs, and what it says of itself."""

    data: bytes
    names: tuple[str, ...]  # as the file names its tracks; empty where it does not
    programs: tuple[int | None, ...]  # General MIDI programs, counted from 0
    has_metre: bool
    has_key: bool
    divisors: tuple[int, ...]  # the parts of a quarter its times are rounded to


def clean_midi(data: bytes, limits: Limits) -> CleanMidi:
    """The same music with one track a voice, times rounded to parts of a quarter.

    Raises `BadScore` with one sentence.
    """
    if data[:4] == b"RIFF":
        data = data[20:]
    division, chunks = _chunks(data)
    metas: list[tuple[int, int, bytes]] = []
    voices: dict[tuple[int, int], Voice] = {}
    names: dict[int, str] = {}
    count = 0
    for track, chunk in enumerate(chunks):
        for tick, status, body in _events(chunk, track + 1):
            count += 1
            if count > MOST_EVENTS:
                raise BadScore(messages.MIDI_MANY())
            if tick > MOST_QUARTERS * division:
                raise BadScore(messages.MIDI_LONG())
            if status in (TEMPO, METRE, KEY):
                metas.append((tick, status, body))
            elif status == NAME:
                names.setdefault(track, " ".join(body.decode("utf-8", "replace").split())[:60])
            elif status >= 0x80:
                _sound(voices, track, tick, status, body)
    played = [voice for voice in voices.values() if voice.notes and voice.channel != PERCUSSION_CHANNEL]
    if not played:
        drums = any(voice.notes for voice in voices.values())
        raise BadScore(messages.MIDI_PERCUSSION() if drums else messages.NO_NOTES())
    if sum(len(voice.notes) for voice in played) > limits.notes * 4:
        raise BadScore(messages.MIDI_MANY())
    metas = _music_of(metas)
    return CleanMidi(
        data=_written(division, metas, played),
        names=tuple(names.get(voice.track, "") for voice in played),
        programs=tuple(voice.program for voice in played),
        has_metre=any(status == METRE for _, status, _ in metas),
        has_key=any(status == KEY for _, status, _ in metas),
        divisors=FINEST if _lies_on_fine_grid(played, division) else PLAIN,
    )


def _chunks(data: bytes) -> tuple[int, list[bytes]]:
    if len(data) < 14 or data[:4] != b"MThd":
        raise BadScore(messages.MIDI_BROKEN())
    size, kind, _, division = struct.unpack(">IHHH", data[4:14])
    if kind > 1 or division & 0x8000 or division < 1 or size < 6:
        raise BadScore(messages.MIDI_NO_BEATS())
    place, found = 8 + size, []
    while place + 8 <= len(data):
        (length,) = struct.unpack(">I", data[place + 4 : place + 8])
        if place + 8 + length > len(data):
            raise BadScore(messages.MIDI_BROKEN())
        if data[place : place + 4] == b"MTrk":
            found.append(data[place + 8 : place + 8 + length])
        place += 8 + length
    return division, found


def _events(chunk: bytes, track: int) -> Iterator[tuple[int, int, bytes]]:
    """Tick, status (a meta event's own type, under 0x80) and data bytes."""
    place, tick, running = 0, 0, 0
    try:
        while place < len(chunk):
            wait, place = _number(chunk, place)
            tick += wait
            if chunk[place] & 0x80:
                status, place = chunk[place], place + 1
            else:
                status = running
            if status in (0xFF, 0xF0, 0xF7):
                kind = 0xF0
                if status == 0xFF:
                    kind, place = chunk[place], place + 1
                length, place = _number(chunk, place)
                body = chunk[place : place + length]
                if len(body) < length:
                    raise IndexError
                place += length
                if kind == END and status == 0xFF:
                    return
                if status == 0xFF and kind < 0x80:
                    yield tick, kind, body
                continue
            length = DATA_BYTES[status & 0xF0]
            body = chunk[place : place + length]
            if len(body) < length or max(body) > 0x7F:
                raise IndexError
            place, running = place + length, status
            yield tick, status, body
    except (IndexError, KeyError) as error:
        raise BadScore(messages.MIDI_BROKEN_TRACK(track=track)) from error


def _number(chunk: bytes, place: int) -> tuple[int, int]:
    value = 0
    for _ in range(4):
        value = (value << 7) | (chunk[place] & 0x7F)
        place += 1
        if not chunk[place - 1] & 0x80:
            return value, place
    raise IndexError


def _sound(voices: dict[tuple[int, int], Voice], track: int, tick: int, status: int, body: bytes) -> None:
    kind, channel = status & 0xF0, status & 0x0F
    voice = voices.setdefault((track, channel), Voice(track, channel))
    if kind == 0xC0 and voice.program is None:
        voice.program = body[0]
    elif kind == 0x90 and body[1]:
        voice.sounding.setdefault(body[0], []).append(tick)
    elif kind in (0x80, 0x90):
        starts = voice.sounding.get(body[0])
        if starts:
            start = starts.pop(0)
            voice.notes.append((start, max(tick, start + 1), body[0]))


def _music_of(metas: list[tuple[int, int, bytes]]) -> list[tuple[int, int, bytes]]:
    """Readable signatures and tempos in order; of many tempos only the first."""
    lengths = {TEMPO: 3, METRE: 4, KEY: 2}
    kept = sorted((m for m in metas if len(m[2]) == lengths[m[1]] and _is_sane(*m[1:])), key=lambda m: m[0])
    tempos = [meta for meta in kept if meta[1] == TEMPO]
    if len(tempos) > MOST_TEMPOS:
        kept = [meta for meta in kept if meta[1] != TEMPO or meta is tempos[0]]
    return kept


def _is_sane(kind: int, body: bytes) -> bool:
    if kind == TEMPO:
        return 60_000_000 / 999 <= int.from_bytes(body, "big") <= 60_000_000 / 5
    if kind == METRE:
        return 1 <= body[0] <= 32 and body[1] <= 5
    return -7 <= struct.unpack("b", body[:1])[0] <= 7 and body[1] <= 1


def _lies_on_fine_grid(voices: list[Voice], division: int) -> bool:
    """Whether nearly all notes begin exactly on a thirty-second or a sixteenth triplet."""
    starts = [start for voice in voices for start, _, _ in voice.notes]
    exact = sum(start * 24 % division == 0 and _on_grid(start * 24 // division % 24) for start in starts)
    return exact >= 0.98 * len(starts)


def _on_grid(twenty_fourths: int) -> bool:
    return twenty_fourths % 3 == 0 or twenty_fourths % 4 == 0


def _written(division: int, metas: list[tuple[int, int, bytes]], voices: list[Voice]) -> bytes:
    signatures = [(tick, bytes([0xFF, kind, len(body)]) + body) for tick, kind, body in metas]
    tracks = [_track(signatures)]
    for voice in voices:
        events = []
        for start, end, pitch in voice.notes:
            events += [(start, 1, bytes([0x90, pitch, 80])), (end, 0, bytes([0x80, pitch, 0]))]
        events.sort()
        tracks.append(_track([(tick, event) for tick, _, event in events]))
    return b"MThd" + struct.pack(">IHHH", 6, 1, len(tracks), division) + b"".join(tracks)


def _track(events: list[tuple[int, bytes]]) -> bytes:
    body, at = bytearray(), 0
    for tick, event in events:
        body += _as_number(tick - at) + event
        at = tick
    body += b"\x00\xff\x2f\x00"
    return b"MTrk" + struct.pack(">I", len(body)) + bytes(body)


def _as_number(value: int) -> bytes:
    out = [value & 0x7F]
    while value := value >> 7:
        out.append(0x80 | (value & 0x7F))
    return bytes(reversed(out))
