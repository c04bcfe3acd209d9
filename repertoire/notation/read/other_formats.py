"""MIDI, ABC and Humdrum kern made into MusicXML by music21, which never sees a path or an address.

Only the parsers of music21 that take a text or bytes are called, not its converter: that one opens what looks
like a file name or an address and keeps pickles on disk. Runs in the bounded child only.
"""

import contextlib
import io
import warnings
from collections.abc import Callable, Iterable
from typing import Any

from repertoire.notation import messages
from repertoire.notation.pitches import spelled_in_key
from repertoire.notation.read.abc_signs import check_abc
from repertoire.notation.read.abc_voices import gather_voices
from repertoire.notation.read.file_kind import Kind, as_text
from repertoire.notation.read.midi import CleanMidi, clean_midi
from repertoire.notation.read.safety import Limits
from repertoire.notation.score import BadScore
from repertoire.notation.sentence import Sentence

TEXT_MAX_BYTES = 1024 * 1024
MIDI_MAX_BYTES = 2 * 1024 * 1024
MAJOR_SCALE = {0, 2, 4, 5, 7, 9, 11}


def to_musicxml(data: bytes, kind: Kind, limits: Limits) -> tuple[bytes, tuple[Sentence, ...]]:
    """MusicXML and what the director should know of how it was made; raises `BadScore`."""
    makers: dict[Kind, Callable[[], tuple[Any, tuple[Sentence, ...]]]] = {
        Kind.MIDI: lambda: _midi(data, limits),
        Kind.ABC: lambda: (_abc(_text(data)), ()),
        Kind.KERN: lambda: (_kern(_text(data)), ()),
    }
    try:
        with warnings.catch_warnings(), contextlib.redirect_stdout(io.StringIO()):
            warnings.simplefilter("ignore")
            score, remarks = makers[kind]()
            return _exported(score), remarks
    except (BadScore, MemoryError, RecursionError):
        raise
    except Exception as error:  # a parser for trusted files: whatever it stumbles on, the file is at fault
        raise BadScore(messages.FOREIGN_BROKEN(kind=kind.value)) from error


def _text(data: bytes) -> str:
    text = as_text(data)
    if text is None:
        raise BadScore(messages.NOT_MUSICXML())
    if len(data) > TEXT_MAX_BYTES:
        raise BadScore(messages.TOO_BIG(megabytes=TEXT_MAX_BYTES // 1024**2))
    return text


def _abc(text: str) -> Any:
    from music21 import abcFormat
    from music21.abcFormat import translate

    check_abc(text)
    text, names = gather_voices(text)
    score: Any = translate.abcToStreamScore(abcFormat.ABCFile().readstr(text))
    for part in score.parts:
        _number_from_one(part)
    if len(names) == len(score.parts):
        for part, name in zip(score.parts, names, strict=True):
            part.partName = name or part.partName
    return score


def _number_from_one(part: Any) -> None:
    """ABC has no bar numbers, and music21 calls a full first bar 0; only a pickup is that."""
    measures = list(part.getElementsByClass("Measure"))
    if not measures:
        return
    first = measures[0]
    pickup = first.duration.quarterLength < first.barDuration.quarterLength
    for number, measure in enumerate(measures, 0 if pickup else 1):
        measure.number = number


def _kern(text: str) -> Any:
    from music21.humdrum.spineParser import HumdrumDataCollection

    if "**kern" not in text:
        raise BadScore(messages.KERN_NONE())
    lines = [line for line in text.splitlines() if line and not line.startswith("!")]
    if not lines or not all(token == "*-" for token in lines[-1].split("\t")):
        raise BadScore(messages.KERN_BREAKS_OFF(bar=_last_kern_bar(lines)))
    parsed = HumdrumDataCollection(text)
    parsed.parse()
    score: Any = parsed.stream
    for part, name in zip(score.parts, _kern_names(lines, len(score.parts)), strict=False):
        part.partName = name
    return score


def _kern_names(lines: list[str], count: int) -> list[str]:
    """Instrument names by part, top part first; kern writes the lowest part first."""
    columns = lines[0].split("\t")
    for line in lines:
        tokens = line.split("\t")
        if len(tokens) == len(columns) and any(token.startswith('*I"') for token in tokens):
            pairs = zip(columns, tokens, strict=True)
            names = [token.removeprefix('*I"').lstrip("*") for column, token in pairs if column == "**kern"]
            return names[::-1] if len(names) == count else []
    return []


def _last_kern_bar(lines: Iterable[str]) -> str:
    bars = [line.split("\t")[0].strip("=:|!-;") for line in lines if line.startswith("=")]
    return next((bar for bar in reversed(bars) if bar), "1")


def _midi(data: bytes, limits: Limits) -> tuple[Any, tuple[Sentence, ...]]:
    from music21 import midi
    from music21.midi import translate

    if len(data) > MIDI_MAX_BYTES:
        raise BadScore(messages.TOO_BIG(megabytes=MIDI_MAX_BYTES // 1024**2))
    clean = clean_midi(data, limits)
    file = midi.MidiFile()
    file.readstr(clean.data)
    score: Any = translate.midiFileToStream(file, quarterLengthDivisors=clean.divisors)
    for index, part in enumerate(score.parts):
        part.partName = _midi_name(clean, index)
        _spell(part, _fifths_guessed(part) if not clean.has_key else None)
    remarks = [messages.MIDI_BARE()]
    if not clean.has_key:
        remarks.append(messages.MIDI_KEY_GUESSED())
    if not clean.has_metre:
        remarks.append(messages.MIDI_METRE_GUESSED())
    return score, tuple(remarks)


def _midi_name(clean: CleanMidi, index: int) -> str:
    from music21 import instrument

    if index < len(clean.names) and clean.names[index] and clean.names.count(clean.names[index]) == 1:
        return clean.names[index]
    program = clean.programs[index] if index < len(clean.programs) else None
    sound = "" if program is None else instrument.instrumentFromMidiProgram(program).instrumentName
    return sound or ""


def _fifths_guessed(part: Any) -> int:
    """The key signature whose scale holds most of the notes, nearest to none where several do."""
    classes = [pitch.pitchClass for pitch in part.pitches]

    def outside(fifths: int) -> int:
        return sum((value - 7 * fifths) % 12 not in MAJOR_SCALE for value in classes)

    return min(range(-6, 7), key=lambda fifths: (outside(fifths), abs(fifths)))


def _spell(part: Any, fifths: int | None) -> None:
    """Give notes the names of their key (MIDI has none), and print the guessed signature."""
    from music21 import key

    current = fifths or 0
    for place, measure in enumerate(part.getElementsByClass("Measure")):
        if fifths is not None and place == 0:
            measure.insert(0, key.KeySignature(fifths))
        signature = next(iter(measure.getElementsByClass("KeySignature")), None)
        current = signature.sharps if signature is not None else current
        for element in measure.recurse().notes:
            for pitch in element.pitches:
                written = spelled_in_key(pitch.midi, current)
                pitch.step, pitch.octave = written.letter, written.octave
                pitch.accidental = written.alter or None


def _exported(score: Any) -> bytes:
    from music21 import metadata
    from music21.musicxml.m21ToXml import GeneralObjectExporter

    if score.metadata is None:
        score.insert(0, metadata.Metadata())
    if not score.metadata.title:
        score.metadata.title = "-"  # else music21 writes a title and a composer of its own
    if not score.metadata.composer:
        score.metadata.composer = "-"
    exported: bytes = GeneralObjectExporter(score).parse()
    return exported
