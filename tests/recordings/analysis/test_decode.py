"""Files as phones make them, broken files, and files that are no sound."""

import io

import numpy as np
import pytest

from recordings.analysis.recording.decode import SAMPLE_RATE, NotAudio, decode
from tests.recordings.sounds import tone, write_sound


@pytest.mark.parametrize("suffix", ["wav", "mp3", "flac", "m4a", "ogg"])
def test_every_wrapper_gives_the_same_sound(tmp_path, suffix):
    audio = decode(write_sound(tmp_path / f"take.{suffix}", tone(2.0)))
    assert audio.sample_rate == SAMPLE_RATE
    assert audio.samples.dtype == np.float32
    assert audio.duration_s == pytest.approx(2.0, abs=0.1)
    spectrum = np.abs(np.fft.rfft(audio.samples))
    assert spectrum.argmax() * SAMPLE_RATE / audio.samples.size == pytest.approx(440.0, abs=1.0)


def test_a_video_with_sound(tmp_path):
    assert decode(write_sound(tmp_path / "take.mp4", tone(1.0), video=True)).duration_s > 0.9


def test_a_video_without_sound(tmp_path):
    path = write_sound(tmp_path / "take.mp4", tone(1.0), video=True, sound=False)
    with pytest.raises(NotAudio, match="no_sound_track"):
        decode(path)


def test_the_content_counts_and_not_the_name(tmp_path):
    path = write_sound(tmp_path / "take.m4a", tone(1.0)).rename(tmp_path / "take.wav")
    assert decode(path).source.codec == "aac"


def test_an_open_file(tmp_path):
    path = write_sound(tmp_path / "take.flac", tone(1.0))
    assert decode(io.BytesIO(path.read_bytes())).duration_s == pytest.approx(1.0, abs=0.05)


@pytest.mark.parametrize("content", [b"", b"<html>no sound</html>" * 50, bytes(range(256)) * 40, b"RIFF"])
def test_what_is_no_sound_is_refused_with_a_sentence(tmp_path, content):
    path = tmp_path / "take.mp3"
    path.write_bytes(content)
    with pytest.raises(NotAudio, match=r"not_audio|empty_sound"):
        decode(path)


def test_a_playlist_opens_no_other_file(tmp_path):
    write_sound(tmp_path / "other.wav", tone(1.0))
    playlist = tmp_path / "take.m3u8"
    playlist.write_text("#EXTM3U\n#EXT-X-TARGETDURATION:2\n#EXTINF:1,\nother.wav\n#EXT-X-ENDLIST\n")
    with pytest.raises(NotAudio):
        decode(playlist)


def test_a_cut_off_file_gives_what_is_there_and_says_so(tmp_path):
    path = write_sound(
        tmp_path / "take.flac", np.random.default_rng(1).standard_normal(8 * 22050).astype("f4") / 9
    )
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    audio = decode(path)
    assert 2.0 < audio.duration_s < 6.0
    assert audio.source.declared_duration_s == pytest.approx(8.0, abs=0.1)


def test_a_damaged_middle_is_counted(tmp_path):
    path = write_sound(tmp_path / "take.mp3", tone(6.0))
    data = bytearray(path.read_bytes())
    middle = len(data) // 2
    data[middle : middle + 3000] = bytes(3000)
    path.write_bytes(data)
    assert decode(path).duration_s > 4.0


def test_too_long_is_refused(tmp_path):
    path = write_sound(tmp_path / "take.wav", tone(8.0))
    with pytest.raises(NotAudio, match="too_long"):
        decode(path, max_seconds=3.0)


def test_numbers_that_are_none_become_silence(tmp_path):
    samples = tone(1.0)
    samples[1000:1100] = np.nan
    path = tmp_path / "take.wav"
    header = (
        b"RIFF" + (36 + 4 * samples.size).to_bytes(4, "little") + b"WAVEfmt " + (16).to_bytes(4, "little")
        + (3).to_bytes(2, "little") + (1).to_bytes(2, "little") + (22050).to_bytes(4, "little")
        + (88200).to_bytes(4, "little") + (4).to_bytes(2, "little") + (32).to_bytes(2, "little")
        + b"data" + (4 * samples.size).to_bytes(4, "little")
    )  # fmt: skip
    path.write_bytes(header + samples.astype("<f4").tobytes())
    audio = decode(path)
    assert np.isfinite(audio.samples).all()
    assert audio.source.bad_samples > 0
