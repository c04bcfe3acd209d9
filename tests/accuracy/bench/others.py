"""General tools on the same takes, for comparison: what a note's pitch and a note's onset cost elsewhere.

Pitch, told the true times of notes of 250 ms or more, mean over 20 to 90 % of the note: Praat's
autocorrelation (parselmouth, only where installed: tests/accuracy/bench/requirements.txt), librosa's YIN and
pYIN on their default grids. Onsets: librosa's dynamic time warping of chroma against the printed form, and
synctoolbox's multiscale warping of chroma and decaying onset features (only where installed).
They get the take's range of pitches, ours gets each note's printed pitch: the score is what ours is for.
"""

import importlib.util
import time
from collections.abc import Callable
from dataclasses import dataclass, field

import librosa
import numpy as np

from fixtures.sounds.playing import Sounding
from recordings.analysis.recording.decode import Audio

from .figures import GROSS_CENTS
from .measuring import LONG_S
from .scoring import ONSET_WINDOW_S
from .sounding import MIDDLE, hz_of
from .takes import Take

HOP = 256
CHROMA_HOP = 512
CHROMA_TAIL = 0.1  # what the other pitch classes hold in the printed chroma


@dataclass(slots=True)
class Tool:
    """What one tool told so far; `cpu_s` over `sound_s`."""

    cents_off: list[float] = field(default_factory=list)
    onsets_right: list[bool] = field(default_factory=list)
    cpu_s: float = 0.0
    sound_s: float = 0.0


def compare(tools: dict[str, Tool], take: Take, audio: Audio) -> None:
    """Let every tool hear a clean take and add to what it told."""
    for name, track in _trackers().items():
        tool = tools.setdefault(name, Tool())
        begun_s = time.process_time()
        at_s, hz = track(audio, _range(take))
        _count(tool, time.process_time() - begun_s, audio)
        tool.cents_off += [off for note in take.truth.notes if (off := _off(note, at_s, hz)) is not None]
    true_s = {note.index: note.onset_s for note in take.truth.notes}
    for name, align in _aligners().items():
        tool = tools.setdefault(name, Tool())
        begun_s = time.process_time()
        onsets_s = align(take, audio)
        _count(tool, time.process_time() - begun_s, audio)
        tool.onsets_right += [abs(onsets_s[i] - at_s) <= ONSET_WINDOW_S for i, at_s in true_s.items()]


def _count(tool: Tool, cpu_s: float, audio: Audio) -> None:
    tool.cpu_s += cpu_s
    tool.sound_s += audio.duration_s


def _range(take: Take) -> tuple[float, float]:
    midis = [note.midi for note in take.truth.notes]
    return hz_of(min(midis) - 2), hz_of(max(midis) + 2)


def _off(note: Sounding, at_s: np.ndarray, hz: np.ndarray) -> float | None:
    length_s = note.offset_s - note.onset_s
    if length_s < LONG_S:
        return None
    first_s, last_s = (note.onset_s + share * length_s for share in MIDDLE)
    inside = (at_s >= first_s) & (at_s <= last_s) & np.isfinite(hz) & (hz > 0)
    if not inside.any():
        return None
    return float(np.mean(1200.0 * np.log2(hz[inside] / hz_of(note.midi))) - note.cents)


Track = tuple[np.ndarray, np.ndarray]  # seconds, Hz


def _trackers() -> dict[str, Callable[[Audio, tuple[float, float]], Track]]:
    trackers = {"librosa YIN": _yin, "librosa pYIN": _pyin}
    if importlib.util.find_spec("parselmouth"):
        trackers = {"Praat": _praat, **trackers}
    return trackers


def _praat(audio: Audio, hz_range: tuple[float, float]) -> Track:
    import parselmouth

    sound = parselmouth.Sound(audio.samples.astype(float), audio.sample_rate)
    pitch = sound.to_pitch_ac(time_step=0.01, pitch_floor=hz_range[0], pitch_ceiling=hz_range[1])
    return pitch.xs(), pitch.selected_array["frequency"]


def _yin(audio: Audio, hz_range: tuple[float, float]) -> Track:
    hz = librosa.yin(audio.samples, fmin=hz_range[0], fmax=hz_range[1], sr=audio.sample_rate, hop_length=HOP)
    return np.arange(hz.size) * HOP / audio.sample_rate, hz


def _pyin(audio: Audio, hz_range: tuple[float, float]) -> Track:
    hz, _voiced, _sure = librosa.pyin(
        audio.samples, fmin=hz_range[0], fmax=hz_range[1], sr=audio.sample_rate, hop_length=CHROMA_HOP
    )
    return np.arange(hz.size) * CHROMA_HOP / audio.sample_rate, hz


def _aligners() -> dict[str, Callable[[Take, Audio], np.ndarray]]:
    aligners = {"librosa DTW of chroma": dtw_onsets_s}
    if importlib.util.find_spec("synctoolbox"):
        aligners["synctoolbox"] = synctoolbox_onsets_s
    return aligners


def synctoolbox_onsets_s(take: Take, audio: Audio) -> np.ndarray:
    """Seconds at which synctoolbox's multiscale warping puts each note, as its own examples set it up."""
    import pandas as pd
    from synctoolbox.dtw.mrmsdtw import sync_via_mrmsdtw
    from synctoolbox.dtw.utils import make_path_strictly_monotonic
    from synctoolbox.feature import chroma, csv_tools, dlnco, pitch, pitch_onset

    rate, feature_rate = audio.sample_rate, 50
    heard_pitch = pitch.audio_to_pitch_features(
        f_audio=audio.samples, Fs=rate, tuning_offset=0, feature_rate=feature_rate, verbose=False
    )
    heard_chroma = chroma.pitch_to_chroma(f_pitch=heard_pitch)
    peaks = pitch_onset.audio_to_pitch_onset_features(f_audio=audio.samples, Fs=rate, verbose=False)
    length = heard_chroma.shape[1]
    heard_onsets = dlnco.pitch_onset_features_to_DLNCO(
        f_peaks=peaks, feature_rate=feature_rate, feature_sequence_length=length, visualize=False
    )
    seconds_per_q = audio.duration_s / take.form.length_q
    rows = [
        (n.start_q * seconds_per_q, n.duration_q * seconds_per_q, n.note.midi, 1.0, "solo")
        for n in take.form.notes
    ]
    notes = pd.DataFrame(rows, columns=["start", "duration", "pitch", "velocity", "instrument"])
    printed_pitch = csv_tools.df_to_pitch_features(notes, feature_rate=feature_rate)
    printed_chroma = chroma.pitch_to_chroma(f_pitch=printed_pitch)
    printed_onsets = dlnco.pitch_onset_features_to_DLNCO(
        f_peaks=csv_tools.df_to_pitch_onset_features(notes), feature_rate=feature_rate,
        feature_sequence_length=printed_chroma.shape[1], visualize=False,
    )  # fmt: skip
    path = sync_via_mrmsdtw(
        f_chroma1=chroma.quantize_chroma(f_chroma=printed_chroma),
        f_onset1=printed_onsets, f_chroma2=chroma.quantize_chroma(f_chroma=heard_chroma),
        f_onset2=heard_onsets, input_feature_rate=feature_rate, step_weights=np.array([1.5, 1.5, 2.0]),
        threshold_rec=10**6, verbose=False,
    )  # fmt: skip
    path = make_path_strictly_monotonic(path)
    starts = np.array([row[0] for row in rows])
    return np.interp(starts * feature_rate, path[0], path[1]) / feature_rate


def dtw_onsets_s(take: Take, audio: Audio) -> np.ndarray:
    """Seconds at which plain dynamic time warping puts each note of the form."""
    detected = librosa.feature.chroma_cqt(y=audio.samples, sr=audio.sample_rate, hop_length=CHROMA_HOP)
    frames_per_q = detected.shape[1] / take.form.length_q
    printed = np.full((12, detected.shape[1]), CHROMA_TAIL)
    starts = [int(played.start_q * frames_per_q) for played in take.form.notes]
    for start, played in zip(starts, take.form.notes, strict=True):
        end = int((played.start_q + played.duration_q) * frames_per_q)
        printed[played.note.midi % 12, start : max(end, start + 1)] = 1.0
    _cost, path = librosa.sequence.dtw(X=printed, Y=detected + 1e-6, metric="cosine")
    first = {}
    for row, column in path[::-1]:
        first.setdefault(int(row), int(column))
    return (
        np.array([first[min(start, detected.shape[1] - 1)] for start in starts])
        * CHROMA_HOP
        / audio.sample_rate
    )


def rows(tools: dict[str, Tool]) -> list[tuple[str, ...]]:
    """(tool, cents median / p95, gross per cent, onsets per cent, CPU seconds a second)"""
    return [_row(name, tool) for name, tool in tools.items()]


def _row(name: str, tool: Tool) -> tuple[str, ...]:
    off = np.abs(tool.cents_off)
    cents = f"{np.median(off):.2f} / {np.percentile(off, 95):.1f} c" if off.size else ""
    gross = f"{100 * np.mean(off > GROSS_CENTS):.1f} %" if off.size else ""
    onsets = f"{100 * np.mean(tool.onsets_right):.1f} %" if tool.onsets_right else ""
    return name, cents, gross, onsets, f"{tool.cpu_s / tool.sound_s:.3f} s"
