"""Writing sound files of every kind with PyAV, and bending their bytes."""

import struct
import zlib
from pathlib import Path

import av
import numpy as np

from recordings.analysis.recording.decode import SAMPLE_RATE

CODECS = {
    "wav": "pcm_s16le", "flac": "flac", "mp3": "libmp3lame", "m4a": "aac", "webm": "libopus",
    "ogg": "libopus", "mov": "aac", "mkv": "libopus",
}  # fmt: skip
OPUS_RATE = 48000
LAYOUTS = {1: "mono", 2: "stereo", 6: "5.1", 8: "7.1"}


def write(
    path: Path, samples: np.ndarray, *, rate: int = SAMPLE_RATE, codec: str | None = None, video: bool = False
) -> Path:
    """Write (channels, n) or mono float samples; the suffix says the container; `video` adds pictures."""
    rows = np.atleast_2d(samples).astype(np.float32)
    codec = codec or CODECS[path.suffix[1:]]
    with av.open(str(path), "w") as container:
        picture = _picture_track(container) if video else None
        sound = container.add_stream(
            codec, rate=OPUS_RATE if codec == "libopus" else rate, layout=LAYOUTS[len(rows)]
        )
        if picture is not None:
            _pictures(container, picture, seconds=rows.shape[1] / rate)
        packed = np.ascontiguousarray(rows.T).reshape(1, -1)
        frame = av.AudioFrame.from_ndarray(packed, format="flt", layout=LAYOUTS[len(rows)])
        frame.sample_rate = rate
        container.mux(sound.encode(frame))
        container.mux(sound.encode(None))
    return path


def write_silent_film(path: Path, seconds: float) -> Path:
    """A video without any sound track."""
    with av.open(str(path), "w") as container:
        _pictures(container, _picture_track(container), seconds=seconds)
    return path


def _picture_track(container):
    track = container.add_stream("mpeg4", rate=5)
    track.width, track.height, track.pix_fmt = 64, 48, "yuv420p"
    return track


def _pictures(container, track, *, seconds: float) -> None:
    for number in range(max(1, int(seconds * 5))):
        grey = np.full((48, 64, 3), (7 * number) % 255, dtype=np.uint8)
        container.mux(track.encode(av.VideoFrame.from_ndarray(grey, format="rgb24")))
    container.mux(track.encode(None))


def float_wav(path: Path, samples: np.ndarray, *, rate: int = SAMPLE_RATE) -> Path:
    """A mono 32-bit float WAV written byte by byte, since an encoder might refuse what is no number."""
    body = samples.astype("<f4").tobytes()
    head = struct.pack(
        "<4sI4s4sIHHIIHH", b"RIFF", 50 + len(body), b"WAVE", b"fmt ", 18, 3, 1, rate, 4 * rate, 4, 32
    )
    fact = struct.pack("<H4sII4sI", 0, b"fact", 4, samples.size, b"data", len(body))
    path.write_bytes(head + fact + body)
    return path


def truncated(path: Path, share: float) -> Path:
    data = path.read_bytes()
    path.write_bytes(data[: int(len(data) * share)])
    return path


def scrambled(path: Path, rng: np.random.Generator, *, places: int, length: int) -> Path:
    """Random bytes over `places` stretches behind the first tenth of the file."""
    data = bytearray(path.read_bytes())
    for start in rng.integers(len(data) // 10, len(data) - length, places):
        data[start : start + length] = rng.bytes(length)
    path.write_bytes(bytes(data))
    return path


def lying_wav(path: Path, factor: float) -> Path:
    """The WAV's header says `factor` times the bytes that are there."""
    data = bytearray(path.read_bytes())
    at = data.index(b"data") + 4
    wording = min(int(struct.unpack_from("<I", data, at)[0] * factor), 0xFFFFFFFE)
    struct.pack_into("<I", data, at, wording)
    struct.pack_into("<I", data, 4, min(wording + 36, 0xFFFFFFFF))
    path.write_bytes(bytes(data))
    return path


def lying_flac(path: Path, factor: float) -> Path:
    """The FLAC's first block says `factor` times the samples that are there."""
    data = bytearray(path.read_bytes())
    low = int.from_bytes(data[21:26], "big")  # 4 bits of sample size, 36 bits of samples in all
    count = int((low & 0xFFFFFFFFF) * factor) & 0xFFFFFFFFF
    data[21:26] = ((low >> 36 << 36) | count).to_bytes(5, "big")
    path.write_bytes(bytes(data))
    return path


def with_cover(path: Path) -> Path:
    """An ID3 tag with a picture in front of an MP3."""
    picture = b"\x00image/png\x00\x03\x00" + png(32)
    frame = b"APIC" + struct.pack(">IH", len(picture), 0) + picture
    size = len(frame)
    safe = bytes((size >> shift) & 0x7F for shift in (21, 14, 7, 0))
    path.write_bytes(b"ID3\x03\x00\x00" + safe + frame + path.read_bytes())
    return path


def png(side: int) -> bytes:
    """A black square picture."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = struct.pack(">IIBBBBB", side, side, 8, 0, 0, 0, 0)
    rows = zlib.compress(b"".join(b"\x00" * (side + 1) for _ in range(side)))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")
