"""One person's channel: the frames, the level, and how far back it reaches."""

import math

import numpy as np
import pytest

from handsfree.hearing.audio import Samples
from handsfree.hearing.live.channel import LONGEST_SILENCE, Channel, Framer, dbfs
from handsfree.hearing.live.endpoint import FRAME_SAMPLES, Boundary, Ended, Paused, Rules
from tests.live.fakes import LoudIsVoice


def sine(hertz: float, seconds: float, rate_hz: int) -> Samples:
    time_s = np.arange(round(seconds * rate_hz)) / rate_hz
    return np.asarray(np.sin(2 * np.pi * hertz * time_s), np.float32)


def taken(channel: Channel, samples: Samples) -> list[Boundary]:
    """All that the sound brings."""
    return [each for frame in channel.take(samples) for each in frame]


def test_a_full_scale_sine_is_0_db_fs() -> None:
    """AES17-2015, 3.12 (from memory): the level of a 997 Hz sine at full scale is 0 dB FS."""
    assert dbfs(sine(997, 1, 48_000)) == pytest.approx(0, abs=0.01)
    assert dbfs(np.float32(0.1) * sine(997, 1, 48_000)) == pytest.approx(-20, abs=0.01)


def test_silence_has_no_level() -> None:
    assert dbfs(np.zeros(512, np.float32)) == -math.inf
    assert dbfs(np.zeros(0, np.float32)) == -math.inf


@pytest.mark.parametrize("rate_hz", [16_000, 44_100, 48_000])
def test_any_rate_becomes_frames_at_16_khz(rate_hz: int) -> None:
    framer = Framer(rate_hz)
    sound = sine(440, 2, rate_hz)
    pieces = [sound[at : at + 700] for at in range(0, len(sound), 700)]
    frames = [frame for piece in pieces for frame in framer.frames(piece)]
    assert {len(frame) for frame in frames} == {FRAME_SAMPLES}
    assert len(frames) * FRAME_SAMPLES == pytest.approx(2 * 16_000, abs=2_000)
    middle = np.concatenate(frames)[4096 : 4096 + 16_000]
    loudest = np.argmax(np.abs(np.fft.rfft(middle)))
    assert loudest == 440


def test_the_sound_of_an_utterance_is_what_came_in() -> None:
    rules = Rules()
    channel = Channel("technician", LoudIsVoice(), rules, 16_000)
    quiet, loud = np.zeros(40 * FRAME_SAMPLES, np.float32), sine(300, 20 * 0.032, 16_000)
    found = taken(channel, np.concatenate([quiet, loud, quiet]))
    ended = next(each for each in found if isinstance(each, Ended))
    assert any(isinstance(each, Paused) for each in found)
    sound = channel.sound(ended.first, ended.end)
    assert len(sound) == (rules.pre_roll + 20 + rules.early) * FRAME_SAMPLES
    assert np.array_equal(sound[rules.pre_roll * FRAME_SAMPLES :][: len(loud)], loud)


def test_broken_samples_are_silence_to_the_detector() -> None:
    channel = Channel("technician", LoudIsVoice(), Rules(), 16_000)
    assert taken(channel, np.full(FRAME_SAMPLES * 50, np.nan, np.float32)) == []


def test_an_hour_takes_no_more_room_than_an_utterance() -> None:
    rules = Rules()
    channel = Channel("technician", LoudIsVoice(), rules, 16_000)
    for _ in range(20):
        taken(channel, np.zeros(100 * FRAME_SAMPLES, np.float32))
    most = rules.pre_roll + rules.onset_window + rules.longest + LONGEST_SILENCE
    assert len(channel.sound(0, channel.frames_seen)) == most * FRAME_SAMPLES


def test_a_channel_is_quiet_when_its_last_frames_were() -> None:
    channel = Channel("technician", LoudIsVoice(), Rules(), 16_000)
    quiet = np.zeros(FRAME_SAMPLES, np.float32)
    assert channel.is_quiet
    taken(channel, np.concatenate([sine(300, 0.032, 16_000), *[quiet] * 3]))
    assert not channel.is_quiet
    taken(channel, np.concatenate([quiet] * Rules().onset_window))
    assert channel.is_quiet
    taken(channel, sine(300, 0.32, 16_000))
    assert not channel.is_quiet
