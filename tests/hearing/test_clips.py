"""Reading recordings: every kind of file gives sound or a typed error, never anything else."""

from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from handsfree.errors import HandsfreeError
from handsfree.hearing.audio import SAMPLE_RATE, Audio
from handsfree.hearing.clips import (
    ClipEmpty,
    ClipMissing,
    ClipNotSound,
    ClipTooLong,
    read_clip,
)
from tests.how_many import examples


def tone(seconds: float, rate: int = SAMPLE_RATE, hertz: float = 440) -> np.ndarray:
    return (0.5 * np.sin(2 * np.pi * hertz * np.arange(int(seconds * rate)) / rate)).astype("f4")


@pytest.mark.parametrize("suffix", ["wav", "flac", "ogg"])
def test_a_clip_is_read_whatever_its_format(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"clip.{suffix}"
    soundfile.write(path, tone(0.5), SAMPLE_RATE)
    audio = read_clip(path, started=timedelta(seconds=3))
    assert audio.duration == timedelta(seconds=0.5)
    assert (audio.started, audio.ended) == (timedelta(seconds=3), timedelta(seconds=3.5))
    assert audio.samples.dtype == np.float32


def test_a_raw_file_is_sixteen_bit_little_endian_mono_at_16_khz(tmp_path: Path) -> None:
    path = tmp_path / "clip.raw"
    path.write_bytes(np.array([0, 16384, -32768], "<i2").tobytes())
    assert read_clip(path).samples.tolist() == [0.0, 0.5, -1.0]


@pytest.mark.parametrize("rate", [8_000, 22_050, 44_100, 48_000])
def test_another_rate_keeps_its_pitch_and_length(tmp_path: Path, rate: int) -> None:
    path = tmp_path / "clip.wav"
    soundfile.write(path, tone(1.0, rate), rate)
    samples = read_clip(path).samples
    assert abs(len(samples) - SAMPLE_RATE) <= 1
    spectrum = np.abs(np.fft.rfft(samples))
    assert abs(np.argmax(spectrum) * SAMPLE_RATE / len(samples) - 440) < 2


def test_stereo_becomes_the_mean_of_its_channels(tmp_path: Path) -> None:
    path = tmp_path / "clip.wav"
    soundfile.write(path, np.stack([tone(0.1), np.zeros(1600)], 1), SAMPLE_RATE, subtype="FLOAT")
    assert np.allclose(read_clip(path).samples, tone(0.1) / 2, atol=1e-6)


def test_samples_that_are_no_numbers_become_silence(tmp_path: Path) -> None:
    path = tmp_path / "clip.wav"
    broken = np.array([0.1, np.nan, np.inf, -np.inf, 0.2], "f4")
    soundfile.write(path, broken, SAMPLE_RATE, subtype="FLOAT")
    assert read_clip(path).samples.tolist() == pytest.approx([0.1, 0.0, 1.0, -1.0, 0.2])


def test_samples_beyond_full_scale_are_held_at_it() -> None:
    audio = Audio(np.array([1.5, -3.0], "f4"), timedelta(0))
    assert audio.samples.tolist() == [1.0, -1.0]


def test_audio_of_another_shape_is_refused() -> None:
    with pytest.raises(ValueError, match="float32 in one dimension"):
        Audio(np.zeros((2, 5), "f4"), timedelta(0))


def test_a_missing_clip_is_named(tmp_path: Path) -> None:
    with pytest.raises(ClipMissing, match=r"gone\.wav: cannot be read .*Check the name"):
        read_clip(tmp_path / "gone.wav")


def test_a_folder_is_not_a_clip(tmp_path: Path) -> None:
    with pytest.raises(ClipMissing, match="it is a folder"):
        read_clip(tmp_path)


@pytest.mark.parametrize("name", ["clip.wav", "clip.raw"])
def test_an_empty_file_holds_no_sound(tmp_path: Path, name: str) -> None:
    (tmp_path / name).touch()
    with pytest.raises(ClipEmpty, match=r"holds no sound. Record it again"):
        read_clip(tmp_path / name)


def test_a_header_without_sound_holds_no_sound(tmp_path: Path) -> None:
    path = tmp_path / "clip.wav"
    soundfile.write(path, tone(0), SAMPLE_RATE)
    with pytest.raises(ClipEmpty):
        read_clip(path)


def test_a_text_file_is_not_sound(tmp_path: Path) -> None:
    path = tmp_path / "notes.wav"
    path.write_text("two niner five zero")
    with pytest.raises(ClipNotSound, match=r"notes\.wav: is not a recording .*Use WAV, FLAC"):
        read_clip(path)


def test_half_a_sample_is_not_sound(tmp_path: Path) -> None:
    path = tmp_path / "clip.raw"
    path.write_bytes(b"\0\0\0")
    with pytest.raises(ClipNotSound, match="even number of bytes"):
        read_clip(path)


@pytest.mark.parametrize("name", ["clip.wav", "clip.raw"])
def test_an_hour_is_refused_before_it_is_decoded(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    if name.endswith("wav"):
        soundfile.write(path, np.zeros(3600 * 8000, "i2"), 8000, subtype="PCM_U8")
    else:
        with path.open("wb") as file:
            file.truncate(3600 * SAMPLE_RATE * 2)
    with pytest.raises(ClipTooLong, match=r"lasts 3600 s, and .* may last 30 s\. Cut it"):
        read_clip(path)


def test_thirty_seconds_are_not_too_long(tmp_path: Path) -> None:
    path = tmp_path / "clip.wav"
    soundfile.write(path, np.zeros(30 * SAMPLE_RATE), SAMPLE_RATE)
    assert read_clip(path).duration == timedelta(seconds=30)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=examples(200))
@given(
    keep=st.integers(0, 400),
    damage=st.lists(st.tuples(st.integers(0, 399), st.integers(0, 255)), max_size=20),
    suffix=st.sampled_from(["wav", "flac", "raw"]),
)
def test_a_damaged_file_gives_sound_or_a_typed_error(
    tmp_path: Path, keep: int, damage: list[tuple[int, int]], suffix: str
) -> None:
    path = tmp_path / f"damaged.{suffix}"
    if suffix == "raw":
        path.write_bytes(bytes(400))
    else:
        soundfile.write(path, tone(0.05), SAMPLE_RATE)
    content = bytearray(path.read_bytes())
    for place, value in damage:
        content[min(place, len(content) - 1)] = value
    path.write_bytes(content[: len(content) - keep])
    try:
        audio = read_clip(path)
    except HandsfreeError:
        return
    assert np.isfinite(audio.samples).all()
    assert np.abs(audio.samples).max(initial=0) <= 1


def test_a_flac_that_states_no_length_is_heard_to_its_end(tmp_path: Path) -> None:
    """RFC 9639, 8.2 (from memory): 36 bits of total samples; zero means that it is not known."""
    path = tmp_path / "streamed.flac"
    soundfile.write(path, tone(0.5), SAMPLE_RATE)
    content = bytearray(path.read_bytes())
    content[21] &= 0xF0
    content[22:26] = bytes(4)
    path.write_bytes(content)
    assert read_clip(path).duration == timedelta(seconds=0.5)


def test_a_stream_of_unstated_length_is_still_bounded(tmp_path: Path) -> None:
    path = tmp_path / "streamed.flac"
    soundfile.write(path, np.zeros(40 * SAMPLE_RATE, "f4"), SAMPLE_RATE)
    content = bytearray(path.read_bytes())
    content[21] &= 0xF0
    content[22:26] = bytes(4)
    path.write_bytes(content)
    with pytest.raises(ClipTooLong):
        read_clip(path)


@pytest.mark.parametrize("rate", [1, 3_999, 768_001, 2_139_062_144])
def test_a_rate_at_which_nothing_is_recorded_is_told_and_not_converted(
    tmp_path: Path, rate: int
) -> None:
    path = tmp_path / "clip.wav"
    soundfile.write(path, np.zeros(100, "f4"), rate)
    with pytest.raises(ClipNotSound, match=rf"nothing is recorded with {rate:,} samples a second"):
        read_clip(path)


WAV_KINDS = sorted(set(soundfile.available_subtypes("WAV")) - {"MPEG_LAYER_III"})


@pytest.mark.parametrize("kind", WAV_KINDS)
def test_every_kind_of_wav_that_can_be_written_is_heard(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "clip.wav"
    soundfile.write(path, tone(0.5)[: SAMPLE_RATE // 2], SAMPLE_RATE, subtype=kind)
    assert read_clip(path).duration.total_seconds() == pytest.approx(0.5, abs=0.05)
