"""The inside of the process that writes a take anew: `main([FROM, TO])`, one JSON object on stdout.

It decodes the first sound of the file at FROM and writes it to TO as AAC in MP4 (192 kbit/s, 48 kHz, stereo),
which every browser plays, and copies nothing else: no tags, no pictures, no chapters, no name of a program.
It prints `{"seconds"}`, 0 where there was nothing to write. It imports no Django, so it starts fast.
"""

import json
from collections.abc import Iterator

import av
from av.codec.context import Flags
from av.error import FFmpegError

from recordings.analysis.recording.formats import FORMATS

RATE, BITS_PER_S = 48_000, 192_000
# The index stands first, so that a phone can jump before all has arrived.
WRITING = {"movflags": "+faststart", "fflags": "+bitexact"}


def write_anew(source: str, target: str) -> float:
    """Seconds written."""
    with (
        av.open(source, metadata_errors="ignore", options={"format_whitelist": FORMATS}) as given,
        av.open(target, "w", format="mp4", options=WRITING) as clean,
    ):
        voice = clean.add_stream("aac", rate=RATE)
        voice.bit_rate, voice.layout = BITS_PER_S, "stereo"
        voice.codec_context.flags |= Flags.bitexact.value
        count = 0
        for frame in _resampled(given):
            # Without a clock of its own: where a recording has gaps, what is there follows on.
            frame.pts = count
            count += frame.samples
            clean.mux(voice.encode(frame))
        if count:
            clean.mux(voice.encode(None))
    return count / RATE


def _resampled(given) -> Iterator[av.AudioFrame]:
    resampler = av.AudioResampler(format="fltp", layout="stereo", rate=RATE)
    for frame in _frames(given):
        frame.pts = None
        try:
            yield from resampler.resample(frame)
        except (FFmpegError, ValueError):  # the stream changes its layout midway
            resampler = av.AudioResampler(format="fltp", layout="stereo", rate=RATE)
    yield from resampler.resample(None)


def _frames(given) -> Iterator[av.AudioFrame]:
    """What can be decoded; a broken packet is passed over, as when a take is measured."""
    packets = given.demux(given.streams.audio[0])
    while True:
        try:
            packet = next(packets)
        except (StopIteration, FFmpegError):
            return
        try:
            yield from packet.decode()
        except FFmpegError:
            continue


def main(arguments: list[str]) -> None:
    source, target = arguments
    print(json.dumps({"seconds": write_anew(source, target)}))
