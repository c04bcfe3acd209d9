"""Is the recording itself good enough to be judged, and if not, what would help.

Levels are dBFS of the mono sound. Every check has a verdict ("fine", "note", "problem") and a sentence.

Clipping, hum, noise floor and drop-outs are found by plain rules on levels and spectra; their limits are this
project's own, measured on made takes (common practice, no published source). Nothing is raised.
"""

from dataclasses import dataclass, replace

import numpy as np
import scipy.fft

from recordings.analysis import sentences
from recordings.analysis.recording import loudness
from recordings.analysis.recording.decode import Audio
from repertoire.notation.sentence import Sentence

FINE, NOTE, PROBLEM = "fine", "note", "problem"
CLIP_LEVEL = 0.985  # of full scale; lossy codecs round clipped tops off a little
CLIP_RUN = 3  # neighbouring samples at the top make one clipped place
CLIPPED_NOTE, CLIPPED_PROBLEM = 0.00002, 0.0005  # share of samples
QUIET_NOTE_LUFS, QUIET_PROBLEM_LUFS = -38.0, -50.0
SNR_NOTE_DB, SNR_PROBLEM_DB = 26.0, 14.0
SILENCE_NOTE_S = 15.0
LEVEL_STEP_S = 0.05
FADED_OUT_DBFS = -85.0  # quieter than any room through a microphone: faded out or digital silence
NOISE_WINDOW, NOISE_FRAMES = 2048, 1500
HUM_LEAD_DB = 16.0  # of each of two harmonics above its surroundings in the quietest tenth
DROPOUT_LEAST_S = 0.004
TRUNCATED_SHARE = 0.98
LOW_SAMPLE_RATE = 16000


@dataclass(frozen=True, slots=True)
class Check:
    """One thing looked at: `verdict` is FINE, NOTE or PROBLEM, `text` is for a person."""

    kind: str
    verdict: str
    text: Sentence


@dataclass(frozen=True, slots=True)
class Recording:
    """All that is said about the file. Seconds, dB and shares (0..1) as named; None: not measurable."""

    duration_s: float
    sample_rate: int
    channels: int
    codec: str
    declared_duration_s: float | None
    packet_errors: int
    loudness_lufs: float | None
    true_peak_dbtp: float | None
    clipped_share: float
    noise_floor_dbfs: float | None
    snr_db: float | None
    leading_silence_s: float | None
    trailing_silence_s: float | None
    hum_hz: int | None
    dropout_count: int
    dropout_times_s: tuple[float, ...]
    checks: tuple[Check, ...]


def check(audio: Audio) -> Recording:
    """Measure the recording and say what it means; silence and empty sound are a verdict too."""
    samples, rate = audio.samples, audio.sample_rate
    levels = _levels(samples, rate)
    floor, snr, threshold = _floor(levels, _spectral_floor(samples, rate))
    lead, trail = _silences(levels, threshold)
    drops = _dropouts(samples, rate)
    recording = Recording(
        duration_s=audio.duration_s,
        sample_rate=audio.source.sample_rate,
        channels=audio.source.channels,
        codec=audio.source.codec,
        declared_duration_s=audio.source.declared_duration_s,
        packet_errors=audio.source.packet_errors,
        loudness_lufs=loudness.integrated(
            samples, sample_rate=rate, channels=min(audio.source.channels, 2) or 1
        ),
        true_peak_dbtp=loudness.true_peak_db(samples),
        clipped_share=_clipped(samples),
        noise_floor_dbfs=floor,
        snr_db=snr,
        leading_silence_s=lead,
        trailing_silence_s=trail,
        hum_hz=_hum(samples, rate, levels),
        dropout_count=len(drops),
        dropout_times_s=tuple(drops[:20]),
        checks=(),
    )
    return _with_checks(recording, audio)


def _levels(samples: np.ndarray, rate: int) -> np.ndarray:
    step = int(LEVEL_STEP_S * rate)
    whole = samples[: samples.size // step * step].reshape(-1, step).astype(np.float64)
    return 10 * np.log10(np.mean(whole * whole, axis=1) + 1e-12)


def _floor(levels: np.ndarray, spectral: float) -> tuple[float | None, float | None, float]:
    """(noise floor dBFS, SNR dB, level under which nobody plays).

    Without a pause the quietest moment is soft music; what then remains between the notes' harmonics
    (`spectral`, dBFS) tells more. The lower of the two is the floor.
    """
    audible = levels[levels > FADED_OUT_DBFS]
    if audible.size < 20:
        return None, None, -60.0
    quiet = float(np.percentile(audible, 3))
    floor = min(quiet, max(spectral, -100.0))
    loud = float(10 * np.log10(np.mean(10 ** (audible[audible >= np.percentile(audible, 50)] / 10))))
    return floor, loud - floor, max(loud - 32.0, min(quiet + 6.0, loud - 12.0))


def _spectral_floor(samples: np.ndarray, rate: int) -> float:
    """Noise level in dBFS from each frequency's quietest tenth, summed over frequencies."""
    starts = np.linspace(0, max(samples.size - NOISE_WINDOW, 0), NOISE_FRAMES).astype(int)
    if samples.size < 4 * NOISE_WINDOW:
        return 0.0
    taper = np.hanning(NOISE_WINDOW)
    frames = np.stack([samples[s : s + NOISE_WINDOW] for s in np.unique(starts)])
    frames = frames[np.abs(frames).max(axis=1) > 1e-5]
    if len(frames) < 20:
        return -100.0
    power = np.abs(scipy.fft.rfft(frames * taper, axis=1)) ** 2
    # of noise, a tenth of the powers lies below 0.105 of their mean (they are exponentially distributed)
    quiet = np.percentile(power, 10, axis=0) / 0.105
    mean_square = 2 * quiet.sum() / (NOISE_WINDOW * np.sum(taper**2))
    return float(10 * np.log10(mean_square + 1e-12))


def _silences(levels: np.ndarray, threshold: float) -> tuple[float | None, float | None]:
    loud = np.flatnonzero(levels > threshold)
    if not loud.size:
        return None, None
    return float(loud[0] * LEVEL_STEP_S), float((levels.size - 1 - loud[-1]) * LEVEL_STEP_S)


def _clipped(samples: np.ndarray) -> float:
    """Share of samples in runs at the top of the scale (or of the file's own flat top)."""
    if not samples.size:
        return 0.0
    top = float(np.abs(samples).max())
    if top < 0.5:
        return 0.0
    high = np.abs(samples) >= max(CLIP_LEVEL * min(top, 1.0), 0.5)
    edges = np.flatnonzero(np.diff(np.r_[0, high.astype(np.int8), 0]))
    runs = edges[1::2] - edges[::2]
    clipped = runs[runs >= CLIP_RUN].sum()
    # a few rounded tops of a clean loud tone are no clipping
    return float(clipped / samples.size) if top >= 0.97 or (runs >= CLIP_RUN).sum() > 50 else 0.0


def _hum(samples: np.ndarray, rate: int, levels: np.ndarray) -> int | None:
    """50 or 60 when mains hum stands out in the quiet parts, else None."""
    size = 1 << 15
    if samples.size < size or levels.size < 60:
        return None
    step = int(LEVEL_STEP_S * rate)
    span = size // step
    smooth = np.convolve(levels, np.full(span, 1 / span), mode="valid")
    order = np.argsort(smooth)[: max(1, smooth.size // 10)][:6]
    spectra = []
    for index in order:
        piece = samples[index * step : index * step + size]
        if piece.size == size and np.any(piece):
            spectra.append(np.abs(scipy.fft.rfft(piece * np.hanning(size))))
    if not spectra:
        return None
    spectrum = 20 * np.log10(np.mean(spectra, axis=0) + 1e-9)
    hz = rate / size
    for mains in (50, 60):
        leads = []
        for harmonic in (1, 2, 3):
            at = round(mains * harmonic / hz)
            near = spectrum[at - 30 : at + 31]
            leads.append(float(spectrum[at - 1 : at + 2].max() - np.median(near)))
        if sum(lead > HUM_LEAD_DB for lead in leads) >= 2:
            return mains
    return None


def _dropouts(samples: np.ndarray, rate: int) -> list[float]:
    """Times of stretches of exact zeros between sounding samples."""
    zero = samples == 0
    edges = np.flatnonzero(np.diff(np.r_[0, zero.astype(np.int8), 0]))
    starts, ends = edges[::2], edges[1::2]
    least, reach = int(DROPOUT_LEAST_S * rate), int(0.02 * rate)
    found = []
    for start, end in zip(starts, ends, strict=True):
        if end - start < least or end - start > rate or start < reach or end + reach > samples.size:
            continue
        before, after = samples[start - reach : start], samples[end : end + reach]
        if min(np.abs(before).max(), np.abs(after).max()) > 0.02:
            found.append(float(start / rate))
    return found


def _with_checks(recording: Recording, audio: Audio) -> Recording:
    checks = [
        _level_check(recording), _clip_check(recording), _noise_check(recording),
        _hum_check(recording), _silence_check(recording), _whole_check(recording, audio),
    ]  # fmt: skip
    return replace(recording, checks=tuple(checks))


def _level_check(r: Recording) -> Check:
    if r.loudness_lufs is None:
        return Check("level", PROBLEM, sentences.CHECK_SILENT())
    if r.loudness_lufs < QUIET_NOTE_LUFS:
        verdict = PROBLEM if r.loudness_lufs < QUIET_PROBLEM_LUFS else NOTE
        return Check("level", verdict, sentences.CHECK_QUIET(lufs=round(r.loudness_lufs)))
    return Check("level", FINE, sentences.CHECK_LEVEL_FINE())


def _clip_check(r: Recording) -> Check:
    if r.clipped_share >= CLIPPED_NOTE:
        verdict = PROBLEM if r.clipped_share >= CLIPPED_PROBLEM else NOTE
        return Check("clipping", verdict, sentences.CHECK_CLIPPED())
    return Check("clipping", FINE, sentences.CHECK_CLIP_FINE())


def _noise_check(r: Recording) -> Check:
    if r.snr_db is None or r.loudness_lufs is None:
        return Check("noise", NOTE, sentences.CHECK_NOISE_UNKNOWN())
    if r.snr_db < SNR_NOTE_DB:
        verdict = PROBLEM if r.snr_db < SNR_PROBLEM_DB else NOTE
        return Check("noise", verdict, sentences.CHECK_NOISY(snr=round(r.snr_db)))
    return Check("noise", FINE, sentences.CHECK_NOISE_FINE())


def _hum_check(r: Recording) -> Check:
    if r.hum_hz:
        return Check("hum", NOTE, sentences.CHECK_HUM(hz=r.hum_hz))
    return Check("hum", FINE, sentences.CHECK_HUM_FINE())


def _silence_check(r: Recording) -> Check:
    longest = max(r.leading_silence_s or 0, r.trailing_silence_s or 0)
    if longest > SILENCE_NOTE_S:
        return Check("silence", NOTE, sentences.CHECK_LONG_SILENCE(seconds=round(longest)))
    return Check("silence", FINE, sentences.CHECK_SILENCE_FINE())


def _whole_check(r: Recording, audio: Audio) -> Check:
    declared = r.declared_duration_s
    if declared and r.duration_s < TRUNCATED_SHARE * declared - 0.5:
        places = None if declared >= 100 else 1
        text = sentences.CHECK_TRUNCATED(read=round(r.duration_s, places), declared=round(declared, places))
        return Check("whole", PROBLEM, text)
    if r.packet_errors or audio.source.bad_samples:
        return Check("whole", NOTE, sentences.CHECK_DAMAGED())
    if r.dropout_count:
        return Check("whole", NOTE, sentences.CHECK_DROPOUTS(count=r.dropout_count))
    if 0 < r.sample_rate < LOW_SAMPLE_RATE:
        return Check("whole", NOTE, sentences.CHECK_LOW_RATE())
    return Check("whole", FINE, sentences.CHECK_WHOLE_FINE())
