"""A Standard MIDI File of one performance, every note bent to its own cents.

Notes go round the channels in turn, so that a note's bend never moves the one still ringing before it.
Times are kept to a tenth of a millisecond. fluidsynth rounds every pitch down to a whole cent, so notes are
to have whole cents, and half a cent is added to every bend: what sounds is then what was meant.
"""

from dataclasses import dataclass
from struct import pack

import numpy as np

TICKS_PER_SECOND = 10_000  # one quarter is one second
CHANNELS = tuple(range(9)) + tuple(range(10, 16))  # the tenth is for drums
BEND_RANGE_CENTS = 200.0
ROUNDING_CENTS = 0.5
VIBRATO_STEP_S = 0.004
VIBRATO_FROM_S, VIBRATO_GROWS_S = 0.15, 0.2
SCOOP_S = 0.03  # in which what is left of a scoop falls to its 2.7th part


@dataclass(frozen=True, slots=True)
class MidiNote:
    """One note: seconds, MIDI number, whole cents off it, velocity; vibrato as half width and rate."""

    onset_s: float
    offset_s: float
    midi: int
    cents: float
    velocity: int
    vibrato_cents: float = 0.0
    vibrato_hz: float = 0.0
    scoop_cents: float = 0.0  # how far under its pitch the note begins


def midi_file(notes: list[MidiNote], *, program: int, end_s: float) -> bytes:
    """The file's bytes; `program` counts from 0; silence until `end_s` lets the last note ring out."""
    events: list[tuple[int, int, bytes]] = []
    for channel in CHANNELS:
        events.append((0, 0, bytes([0xC0 | channel, program])))
    for number, note in enumerate(notes):
        channel = CHANNELS[number % len(CHANNELS)]
        events += [(_ticks(at_s), 2, _bend(channel, cents)) for at_s, cents in _bends(note)]
        events.append((_ticks(note.onset_s), 3, bytes([0x90 | channel, note.midi, note.velocity])))
        events.append((_ticks(note.offset_s), 1, bytes([0x80 | channel, note.midi, 0])))
    track, before = bytearray(b"\x00\xff\x51\x03" + (1_000_000).to_bytes(3, "big")), 0
    for at, _order, message in sorted(events):
        track += _length(at - before) + message
        before = at
    track += _length(max(_ticks(end_s) - before, 0)) + b"\xff\x2f\x00"
    header = b"MThd" + pack(">IHHH", 6, 0, 1, TICKS_PER_SECOND)
    return header + b"MTrk" + pack(">I", len(track)) + bytes(track)


def _bends(note: MidiNote) -> list[tuple[float, float]]:
    """(seconds, cents) pairs: the note's own cents shortly before it begins, then its vibrato and scoop."""
    bends = [(note.onset_s - 0.002, note.cents - note.scoop_cents)]
    if note.vibrato_cents or note.scoop_cents:
        since = np.arange(0.0 if note.scoop_cents else VIBRATO_FROM_S, note.offset_s - note.onset_s,
                          VIBRATO_STEP_S)  # fmt: skip
        wave = note.cents + vibrato_at(note, since) + scoop_at(note, since)
        bends += [(note.onset_s + at_s, cents) for at_s, cents in zip(since, wave, strict=True)]
    return bends


def vibrato_at(note: MidiNote, since_s: np.ndarray) -> np.ndarray:
    """Cents the vibrato adds, seconds after the note-on."""
    into = since_s - VIBRATO_FROM_S
    depth = note.vibrato_cents * np.clip(into / VIBRATO_GROWS_S, 0.0, 1.0)
    return depth * np.sin(2 * np.pi * note.vibrato_hz * into)


def scoop_at(note: MidiNote, since_s: np.ndarray) -> np.ndarray:
    """Cents the note still lies under its pitch, seconds after the note-on."""
    return -note.scoop_cents * np.exp(-since_s / SCOOP_S)


def _bend(channel: int, cents: float) -> bytes:
    value = int(np.clip(8192 + round((cents + ROUNDING_CENTS) / BEND_RANGE_CENTS * 8192), 0, 16383))
    return bytes([0xE0 | channel, value & 0x7F, value >> 7])


def _ticks(seconds: float) -> int:
    return max(0, round(seconds * TICKS_PER_SECOND))


def _length(value: int) -> bytes:
    """MIDI's variable-length number."""
    parts = [value & 0x7F]
    while value := value >> 7:
        parts.append(0x80 | (value & 0x7F))
    return bytes(reversed(parts))
