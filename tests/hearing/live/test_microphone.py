"""The shell around PortAudio, with the module replaced."""

import sys
import threading
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from handsfree.hearing.live import microphone as microphone_module
from handsfree.hearing.live.microphone import (
    DeviceMicrophone,
    MicrophoneLost,
    NoMicrophone,
    find_devices_anew,
    numbered,
)


class PortAudio:
    """A stand-in for the module sounddevice with one headset."""

    class PortAudioError(Exception):
        pass

    def __init__(self) -> None:
        self.rate = 44_100.0
        self.there = True
        self.refuses = False
        self.streams: list[Any] = []
        self.looked_anew = 0

    def query_devices(self, device: object, kind: str) -> dict[str, Any]:
        if not self.there:
            raise self.PortAudioError("Error querying device -1")
        return {"name": "headset", "max_input_channels": 2, "default_samplerate": self.rate}

    def InputStream(self, **made: Any) -> Any:
        if self.refuses:
            raise self.PortAudioError("Device unavailable")
        stream = SimpleNamespace(**made, active=True, start=lambda: None, close=lambda: None)
        self.streams.append(stream)
        return stream

    def give(self, frames: int = 10, overflow: bool = False) -> None:
        stream = self.streams[-1]
        sound = np.ones((frames, stream.channels), np.float32)
        stream.callback(sound, frames, None, SimpleNamespace(input_overflow=overflow))
        sound[:] = 0  # PortAudio uses the memory again

    def _terminate(self) -> None:
        self.looked_anew += 1

    def _initialize(self) -> None:
        pass

    def _exit_handler(self) -> None:
        pass


@pytest.fixture
def portaudio(monkeypatch: pytest.MonkeyPatch) -> PortAudio:
    stand_in = PortAudio()
    monkeypatch.setitem(sys.modules, "sounddevice", stand_in)
    return stand_in


def opened(channels: int = 1) -> DeviceMicrophone:
    microphone = DeviceMicrophone(None, channels)
    microphone.open()
    return microphone


def test_it_is_opened_at_the_rate_of_the_device(portaudio: PortAudio) -> None:
    microphone = opened(2)
    (stream,) = portaudio.streams
    assert (stream.samplerate, stream.channels, stream.dtype) == (44_100, 2, "float32")
    assert microphone.rate_hz == 44_100


def test_what_the_device_gives_is_copied(portaudio: PortAudio) -> None:
    microphone = opened()
    portaudio.give()
    block = microphone.read(0.0)
    assert block is not None
    assert block.samples.min() == 1
    assert not block.gap
    assert microphone.read(0.0) is None


def test_an_overrun_is_told_of_with_the_next_block(portaudio: PortAudio) -> None:
    microphone = opened()
    portaudio.give(overflow=True)
    portaudio.give()
    assert [block.gap for block in (microphone.read(0.0), microphone.read(0.0)) if block] == [
        True,
        False,
    ]


def test_sound_that_nobody_reads_is_bounded_and_the_newest_is_kept(portaudio: PortAudio) -> None:
    microphone = opened()
    for _ in range(3_000):
        portaudio.give(1)
    portaudio.give(7)
    kept = []
    while (block := microphone.read(0.0)) is not None:
        kept.append(block)
    assert len(kept) == 2_500
    assert len(kept[-1].samples) == 7
    assert kept[-1].gap
    portaudio.give(1)
    after = microphone.read(0.0)
    assert after is not None
    assert not after.gap


def test_a_stream_that_has_stopped_is_lost(portaudio: PortAudio) -> None:
    microphone = opened()
    portaudio.streams[-1].active = False
    with pytest.raises(MicrophoneLost, match=r"headset: it has stopped\. Plug it in again\."):
        microphone.read(0.0)


def test_a_device_that_cannot_be_opened_is_lost(portaudio: PortAudio) -> None:
    microphone = DeviceMicrophone(None)
    portaudio.refuses = True
    with pytest.raises(MicrophoneLost, match=r"cannot be opened \(Device unavailable\)"):
        microphone.open()


def test_a_device_that_comes_back_at_another_rate_is_opened_at_that_rate(
    portaudio: PortAudio,
) -> None:
    microphone = opened()
    portaudio.there = False
    with pytest.raises(MicrophoneLost, match="it is not there"):
        microphone.open()
    portaudio.there, portaudio.rate = True, 16_000.0
    microphone.open()
    assert microphone.rate_hz == 16_000
    assert portaudio.streams[-1].samplerate == 16_000


def test_without_a_microphone_other_ways_are_named(portaudio: PortAudio) -> None:
    portaudio.there = False
    with pytest.raises(NoMicrophone, match="--clips FOLDER or by typed words with --keyboard"):
        DeviceMicrophone(None)


def test_a_channel_that_is_not_there_is_refused(portaudio: PortAudio) -> None:
    with pytest.raises(NoMicrophone, match="has 2 channels, and channel 3 was asked for"):
        DeviceMicrophone(None, 3)


def test_devices_are_looked_for_anew_where_one_was_lost(portaudio: PortAudio) -> None:
    find_devices_anew()
    assert portaudio.looked_anew == 1


@pytest.mark.parametrize(("given", "taken"), [("3", 3), ("headset", "headset"), (None, None)])
def test_a_device_is_named_by_number_or_name(given: str | None, taken: str | int | None) -> None:
    assert numbered(given) == taken


def test_a_stream_that_cannot_be_closed_is_given_up_and_the_microphone_can_be_opened_again(
    portaudio: PortAudio, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Seen with PulseAudio: its server went, and PortAudio waited for it for ever."""
    monkeypatch.setattr(microphone_module, "CLOSES_WITHIN_S", 0.01)
    monkeypatch.setattr(microphone_module, "_given_up", [])
    microphone = opened()
    for_ever = threading.Event()
    portaudio.streams[-1].close = for_ever.wait
    microphone.open()
    assert len(portaudio.streams) == 2
    portaudio.give()
    assert microphone.read(0) is not None
    find_devices_anew()  # would wait for the same stream
    assert portaudio.looked_anew == 0
    for_ever.set()
