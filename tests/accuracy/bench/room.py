"""What happens to a clean sound on its way to the analysis: a noisy room, a lossy codec, a file."""

import io
from fractions import Fraction

import av
import numpy as np
import soundfile
from scipy.signal import fftconvolve

from .synth import SAMPLE_RATE

REVERB_S = 0.5  # to 60 dB down
REVERB_BELOW_DB = 8.0  # energy of the reverberation against the direct sound
NOISE_BELOW_DB = 30.0  # pink noise against the music's RMS
CODEC_RATE = 48_000
CODEC_BITS = 64_000
CONTAINERS = {"aac": "mp4", "libopus": "ogg"}
PEAK = 0.5


def in_a_room(samples: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """Reverberation as decaying noise after the direct sound, and pink noise 30 dB under the music."""
    seconds = np.arange(round(REVERB_S * SAMPLE_RATE)) / SAMPLE_RATE
    tail = rng.standard_normal(seconds.size) * 10 ** (-3 * seconds / REVERB_S)
    tail[: round(0.004 * SAMPLE_RATE)] = 0.0
    tail *= 10 ** (-REVERB_BELOW_DB / 20) / np.sqrt(np.sum(tail**2))
    tail[0] = 1.0
    detected = fftconvolve(samples, tail)[: samples.size]
    noise = pink_noise(detected.size, rng)
    level = np.sqrt(np.mean(detected**2)) * 10 ** (-NOISE_BELOW_DB / 20)
    return detected + noise * level / np.sqrt(np.mean(noise**2))


def pink_noise(size: int, rng: np.random.Generator) -> np.ndarray:
    """Noise whose power falls by 3 dB an octave."""
    spectrum = np.fft.rfft(rng.standard_normal(size))
    hz = np.fft.rfftfreq(size, 1 / SAMPLE_RATE)
    return np.fft.irfft(spectrum / np.sqrt(np.maximum(hz, 20.0)), size)


def wav_file(samples: np.ndarray) -> io.BytesIO:
    """The sound as a 16-bit file, loud enough and never clipped."""
    held = io.BytesIO()
    soundfile.write(held, samples * PEAK / np.abs(samples).max(), SAMPLE_RATE, format="WAV", subtype="PCM_16")
    held.seek(0)
    return held


def lossy_file(samples: np.ndarray, codec: str) -> io.BytesIO:
    """The sound through `codec` ("aac" or "libopus") at 64 kb/s, 48 kHz."""
    held = io.BytesIO()
    data = (samples * PEAK / np.abs(samples).max()).astype(np.float32)
    with av.open(held, "w", format=CONTAINERS[codec]) as container:
        stream = container.add_stream(codec, rate=CODEC_RATE, layout="mono")
        stream.bit_rate = CODEC_BITS
        resampler = av.AudioResampler(stream.format, "mono", CODEC_RATE, frame_size=stream.frame_size or 960)
        frame = av.AudioFrame.from_ndarray(data[np.newaxis], format="fltp", layout="mono")
        frame.sample_rate = SAMPLE_RATE
        frame.pts, frame.time_base = 0, Fraction(1, SAMPLE_RATE)
        for ready in [*resampler.resample(frame), *resampler.resample(None)]:
            container.mux(stream.encode(ready))
        container.mux(stream.encode(None))
    held.seek(0)
    return held
