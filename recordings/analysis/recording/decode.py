"""From any file a phone makes to one mono sound, with what went wrong on the way.

PyAV (FFmpeg inside its wheel) reads by content, never by file name. The sound is resampled
frame by frame, so memory grows with the seconds kept and not with the file.

Samples come as float32 `(samples,)` at `SAMPLE_RATE`. Raises `NotAudio` with a sentence for the sender.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import av
import numpy as np
from av.error import FFmpegError

from recordings.analysis import sentences
from recordings.analysis.recording.formats import FORMATS
from repertoire.notation.sentence import Sentence

SAMPLE_RATE = 22050  # Hz; keeps everything up to 11 kHz, enough for pitch, attacks and loudness
DEFAULT_MAX_SECONDS = 3600.0
CANCELLED_SHARE = 0.02  # of the channels' power; under it their mean has lost the sound
MAX_PACKET_ERRORS = 2000  # a file with more broken packets than this is not worth waiting for


class NotAudio(Exception):
    """The file holds no sound we can read; `sentence` is for the person who sent it."""

    def __init__(self, sentence: Sentence) -> None:
        super().__init__(str(sentence))
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class SourceInfo:
    """What the file declares of itself and how reading it went."""

    codec: str
    container: str
    sample_rate: int  # Hz, of the file
    channels: int
    declared_duration_s: float | None
    decoded_duration_s: float
    packet_errors: int
    bad_samples: int  # samples that were no numbers and were set to silence


@dataclass(frozen=True, slots=True)
class Audio:
    """`samples` float32 mono in -1..1 at `sample_rate` Hz."""

    samples: np.ndarray
    sample_rate: int
    duration_s: float
    source: SourceInfo


def decode(source: Path | str | BinaryIO, *, max_seconds: float = DEFAULT_MAX_SECONDS) -> Audio:
    """Read a sound or video file as mono float32 at 22,050 Hz.

    Raises `NotAudio` with a sentence when there is no readable sound or more than `max_seconds` of it.
    """
    try:
        return _open_and_read(source, max_seconds, first_channel_only=False)
    except _ChannelsCancel:
        if hasattr(source, "seek"):
            source.seek(0)
        return _open_and_read(source, max_seconds, first_channel_only=True)


class _ChannelsCancel(Exception):
    """Left and right are each other's opposite (a cable with swapped poles): their mean is silence."""


def _open_and_read(source: Path | str | BinaryIO, max_seconds: float, *, first_channel_only: bool) -> Audio:
    target = str(source) if isinstance(source, Path) else source
    try:
        container = av.open(target, "r", metadata_errors="ignore", options={"format_whitelist": FORMATS})
    except (FFmpegError, ValueError, EOFError) as error:
        raise NotAudio(sentences.NOT_AUDIO()) from error
    with container:
        if not container.streams.audio:
            raise NotAudio(sentences.NO_SOUND_TRACK())
        return _read(container, max_seconds, first_channel_only=first_channel_only)


def _read(container: av.container.InputContainer, max_seconds: float, *, first_channel_only: bool) -> Audio:
    stream = container.streams.audio[0]
    declared = _declared_seconds(container, stream)
    if declared is not None and declared > max_seconds * 1.02 + 1:
        raise NotAudio(sentences.TOO_LONG(minutes=round(max_seconds / 60)))
    errors = [0]
    kept, bad, total = [], 0, 0
    energy, apart = 0.0, 0.0  # of the mean of the channels, and of the channels' mean
    for channels in _resampled(container, stream, errors):
        finite = np.isfinite(channels)
        if not finite.all():
            bad += int((~finite).any(axis=0).sum())
            channels = np.where(finite, channels, 0.0).astype(np.float32)
        channels = np.clip(channels, -4.0, 4.0)
        block = channels[0] if first_channel_only or len(channels) == 1 else channels.mean(axis=0)
        total += block.size
        if total > max_seconds * SAMPLE_RATE:
            raise NotAudio(sentences.TOO_LONG(minutes=round(max_seconds / 60)))
        energy += float(block @ block)
        apart += float(np.vdot(channels, channels)) / len(channels)
        kept.append(block)
    if energy < CANCELLED_SHARE * apart and not first_channel_only:
        raise _ChannelsCancel
    if total == 0:
        raise NotAudio(sentences.EMPTY_SOUND())
    samples = np.concatenate(kept)
    # a constant is no sound, but would count as noise, level and clipping
    samples -= samples.mean(dtype=np.float64).astype(np.float32)
    info = SourceInfo(
        codec=stream.codec_context.name,
        container=container.format.name,
        sample_rate=int(stream.codec_context.sample_rate or 0),
        channels=int(stream.codec_context.channels or 0),
        declared_duration_s=declared,
        decoded_duration_s=samples.size / SAMPLE_RATE,
        packet_errors=errors[0],
        bad_samples=bad,
    )
    return Audio(samples, SAMPLE_RATE, samples.size / SAMPLE_RATE, info)


def _declared_seconds(container: av.container.InputContainer, stream: av.AudioStream) -> float | None:
    if stream.duration and stream.time_base:
        return float(stream.duration * stream.time_base)
    return container.duration / 1e6 if container.duration else None


def _resampled(
    container: av.container.InputContainer, stream: av.AudioStream, errors: list[int]
) -> Iterator[np.ndarray]:
    """Float32 blocks (channels, samples), two channels for stereo and one for anything else.

    A broken packet is counted in `errors[0]` and skipped.
    """
    layout = "stereo" if stream.codec_context.channels == 2 else "mono"
    resampler = av.AudioResampler(format="fltp", layout=layout, rate=SAMPLE_RATE)
    for frame in _frames(container, stream, errors):
        try:
            outputs = resampler.resample(frame)
        except (FFmpegError, ValueError):
            # a stream that changes its layout midway: start a resampler for the new one
            errors[0] += 1
            resampler = av.AudioResampler(format="fltp", layout=layout, rate=SAMPLE_RATE)
            continue
        for output in outputs:
            yield output.to_ndarray()
    for output in resampler.resample(None):
        yield output.to_ndarray()


def _frames(
    container: av.container.InputContainer, stream: av.AudioStream, errors: list[int]
) -> Iterator[av.AudioFrame]:
    packets = container.demux(stream)
    while errors[0] <= MAX_PACKET_ERRORS:
        try:
            packet = next(packets)
        except StopIteration:
            return
        except FFmpegError:
            errors[0] += 1
            return
        try:
            yield from packet.decode()
        except FFmpegError:
            errors[0] += 1
