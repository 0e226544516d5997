import importlib
from collections.abc import Callable
from types import ModuleType

import pytest

from handsfree.speaking.aloud import AloudSpeaker, NoSoundDevice

DEVICE = """
class PortAudioError(Exception): pass
opened, played = [], []
lost = False

def query_devices(kind): return {"default_samplerate": 44100.0}

class OutputStream:
    def __init__(self, rate_hz, channels, dtype): opened.append((rate_hz, channels, dtype))
    def __enter__(self): return self
    def __exit__(self, *exception): pass
    def write(self, samples):
        if lost: raise PortAudioError("Device unavailable")
        played.append(samples)
"""


@pytest.fixture
def device(stand_in: Callable[[str, str], None]) -> ModuleType:
    stand_in("sounddevice", DEVICE)
    return importlib.import_module("sounddevice")


def test_speech_is_played_at_the_rate_of_the_device(device: ModuleType) -> None:
    speaker = AloudSpeaker()
    speaker.say("Affirm.")
    speaker.close()
    assert device.opened == [(44_100, 1, "int16")]
    assert len(device.played[0]) / 44_100 > 0.3


def test_a_blank_text_is_not_played(device: ModuleType) -> None:
    speaker = AloudSpeaker()
    speaker.say("  ")
    speaker.close()
    assert device.opened == []


def test_a_device_that_is_lost_is_reported(
    device: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    speaker = AloudSpeaker()
    monkeypatch.setattr(device, "lost", True)
    with pytest.raises(NoSoundDevice, match=r"playing failed \(Device unavailable\)"):
        speaker.say("Affirm.")
    speaker.close()
