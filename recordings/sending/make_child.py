"""The inside of the process that makes one file: `main([SOURCE, TARGET, JSON])`, one JSON object on stdout.

JSON holds `how` ("copy" or "encode"), `format`, `with_picture` and `kbps`. It prints `{"verdict": "made",
"source_s", "made_s", "tags"}`, lengths as decoded and tags as read back from the file made, or
`{"verdict": "cannot"}`. Nothing is cut, joined, or made louder. It imports no Django, so it starts fast.
"""

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import av
from av.error import FFmpegError
from av.stream import Disposition

from recordings.analysis.recording.formats import FORMATS

MUXERS = {"m4a": "ipod"}
ENCODERS = {"mp3": "libmp3lame", "m4a": "aac", "flac": "flac", "wav": "pcm_s16le"}
# What each wrapper holds without its packets being touched; a video's is left to the muxer.
HOLDS = {
    "mp3": {"mp3", "mp3float"},
    "m4a": {"aac", "alac"},
    "ogg": {"opus", "vorbis", "flac"},
    "flac": {"flac"},
    "webm": {"opus", "vorbis"},
}
MP3_RATES = (32000, 44100, 48000)
# Written by the muxer itself; says nothing of who plays.
HARMLESS = frozenset(
    {"encoder", "major_brand", "minor_version", "compatible_brands", "handler_name", "vendor_id",
     "language", "duration"}
)  # fmt: skip


def make(source: Path, target: Path, wanted: dict[str, Any]) -> None:
    options = {"fflags": "+bitexact", "id3v2_version": "0"} if wanted["format"] == "mp3" else {}
    muxer = MUXERS.get(wanted["format"], wanted["format"])
    with _opened(source) as given, av.open(str(target), "w", format=muxer, options=options) as made:
        voice = given.streams.audio[0]
        if wanted["how"] == "copy" and (wanted["with_picture"] or _holds(wanted["format"], voice)):
            pictures = [each for each in given.streams.video if not _is_cover(each)]
            _copy(given, made, [voice, *(pictures[:1] if wanted["with_picture"] else [])])
        else:
            _encode(given, made, voice, wanted["format"], wanted["kbps"])


def read_back(path: Path) -> tuple[float, dict[str, str]]:
    """Seconds of sound as decoded, and what the file says of itself beside the wrapper's own words."""
    with _opened(path) as container:
        told = dict(container.metadata)
        for stream in container.streams:
            told |= dict(stream.metadata)
        length_s = sum(frame.samples / frame.sample_rate for frame in container.decode(audio=0))
    return length_s, {name: value for name, value in told.items() if name.lower() not in HARMLESS}


def _opened(path: Path):
    return av.open(str(path), metadata_errors="ignore", options={"format_whitelist": FORMATS})


def _is_cover(stream) -> bool:
    return bool(stream.disposition & Disposition.attached_pic)


def _holds(name: str, voice) -> bool:
    codec = voice.codec_context.name
    return codec in HOLDS.get(name, ()) or (name in ("wav", "aiff") and codec.startswith("pcm_"))


def _copy(given, made, streams: list) -> None:
    kept = {stream.index: made.add_stream_from_template(stream) for stream in streams}
    for stream in kept.values():
        stream.metadata.clear()
    for packet in given.demux(streams):
        if packet.dts is not None:
            packet.stream = kept[packet.stream.index]
            made.mux(packet)


def _encode(given, made, voice, name: str, kbps: int | None) -> None:
    context = voice.codec_context
    rate = _rate(name, context.sample_rate)
    encoder = ENCODERS[name]
    deep = name in ("flac", "wav") and context.format.name.startswith("s32")
    stream = made.add_stream("pcm_s24le" if deep and name == "wav" else encoder, rate=rate)
    stream.layout = "stereo" if context.channels >= 2 else "mono"
    if kbps:
        stream.bit_rate = kbps * 1000
    if name == "flac":
        stream.format = "s32" if deep else "s16"
    resampler = av.AudioResampler(format=stream.format, layout=stream.layout, rate=rate)
    for frame in given.decode(voice):
        frame.pts = None
        _mux(made, stream, resampler.resample(frame))
    _mux(made, stream, resampler.resample(None))
    made.mux(stream.encode(None))


def _mux(made, stream, frames: Iterable) -> None:
    for frame in frames:
        made.mux(stream.encode(frame))


def _rate(name: str, rate: int) -> int:
    """The take's own, or for MP3 the nearest that its full bit rates go with."""
    if name != "mp3" or rate in MP3_RATES:
        return rate
    return 44100 if 44100 % rate == 0 or rate % 44100 == 0 else 48000


def main(arguments: list[str]) -> None:
    source, target, wanted = Path(arguments[0]), Path(arguments[1]), json.loads(arguments[2])
    try:
        make(source, target, wanted)
        source_s, _ = read_back(source)
        made_s, tags = read_back(target)
    except (FFmpegError, ValueError, IndexError, KeyError):
        print(json.dumps({"verdict": "cannot"}))
        return
    print(json.dumps({"verdict": "made", "source_s": source_s, "made_s": made_s, "tags": sorted(tags)}))
