"""Small sound files made on the spot: plain tones, in the wrappers phones use."""

from pathlib import Path

import av
import numpy as np

RATE = 22050
SUFFIXES = {"wav": "pcm_s16le", "mp3": "libmp3lame", "flac": "flac", "m4a": "aac", "ogg": "libopus"}


def tone(seconds: float, *, midi: float = 69.0, level: float = 0.3, rate: int = RATE) -> np.ndarray:
    """A steady tone with a few harmonics, float32 in -1..1."""
    time = np.arange(round(seconds * rate)) / rate
    f0_hz = 440.0 * 2 ** ((midi - 69.0) / 12)
    wave = sum(np.sin(2 * np.pi * f0_hz * (k + 1) * time) / (k + 1) ** 2 for k in range(5))
    return (level * wave).astype(np.float32)


def tune_sound(bpm: float = 96.0, midis: tuple[int, ...] = ()) -> np.ndarray:
    """The tune of `tests.conftest` as it is to be played (1-2, 1-2, 3-4), each note with a short fade."""
    first = (69, 71, 72, 74, 76, 74, 72, 71)
    order = midis or (*first, *first, 69, 72, 76, 72, 74, 71, 67, 69)
    beat_s = 60.0 / bpm
    fade = round(0.02 * RATE)
    notes = []
    for midi in order:
        note = tone(beat_s, midi=midi)
        note[:fade] *= np.linspace(0, 1, fade)
        note[-fade:] *= np.linspace(1, 0, fade)
        notes.append(note)
    pause = np.zeros(RATE // 2, dtype=np.float32)
    return np.concatenate([pause, *notes, pause])


def write_sound(path: Path, samples: np.ndarray, *, video: bool = False, sound: bool = True) -> Path:
    """Write mono `samples` in the wrapper the suffix names; with `video` a small grey picture runs along."""
    with av.open(str(path), "w") as container:
        picture = _picture_stream(container) if video else None
        voice = _voice_stream(container, path) if sound else None
        if picture is not None:
            _write_picture(container, picture)
        if voice is not None:
            _write_voice(container, voice, samples)
    return path


def _voice_stream(container, path: Path):
    codec = SUFFIXES.get(path.suffix.lstrip("."), "aac")
    stream = container.add_stream(codec, rate=48000 if codec == "libopus" else RATE)
    stream.layout = "mono"
    return stream


def _picture_stream(container):
    stream = container.add_stream("mpeg4", rate=5)
    stream.width, stream.height, stream.pix_fmt = 64, 48, "yuv420p"
    return stream


def _write_picture(container, stream) -> None:
    for _ in range(15):
        frame = av.VideoFrame.from_ndarray(np.full((48, 64, 3), 128, dtype=np.uint8), format="rgb24")
        container.mux(stream.encode(frame))
    container.mux(stream.encode(None))


def _write_voice(container, stream, samples: np.ndarray) -> None:
    shorts = np.clip(samples * 32767, -32768, 32767).astype(np.int16)
    frame = av.AudioFrame.from_ndarray(shorts[np.newaxis, :], format="s16", layout="mono")
    frame.rate = RATE
    container.mux(stream.encode(frame))
    container.mux(stream.encode(None))
