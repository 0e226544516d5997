import importlib
from collections.abc import Callable
from types import ModuleType

import pytest

from handsfree.speaking.aloud import AloudSpeaker, NoSoundDevice
from handsfree.speaking.voice import Voice

DEVICE = """
class PortAudioError(Exception): pass
opened, played, aborted = [], [], []
lost = False

rate_hz = 44100.0

def query_devices(kind): return {"default_samplerate": rate_hz}

class OutputStream:
    def __init__(self, rate_hz, channels, dtype): opened.append((rate_hz, channels, dtype))
    def __enter__(self): return self
    def __exit__(self, *exception): pass
    def abort(self): aborted.append(True)
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


def test_each_sentence_is_played_by_itself_in_one_go(device: ModuleType) -> None:
    speaker = AloudSpeaker()
    speaker.say("Two niner five zero psi. Inside limits.")
    speaker.close()
    assert len(device.opened) == 1
    assert len(device.played) == 2


def test_what_was_expected_is_not_rendered_again(
    device: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    speaker = AloudSpeaker()
    speaker.expect(("Affirm.",))
    speaker.say("Affirm.")  # waits for the rendering that has begun, or does it
    speaker.say("Affirm.")
    monkeypatch.setattr(device, "lost", True)
    with pytest.raises(NoSoundDevice, match="playing failed"):
        speaker.beep()
    speaker.close()
    assert len({each.tobytes() for each in device.played}) == 1


def test_a_voice_that_stops_it_is_noticed_within_a_piece(device: ModuleType) -> None:
    """Pieces of 50 ms: own choice, no source."""
    asked: list[bool] = []

    def stop() -> bool:
        asked.append(True)
        return len(asked) > 3

    speaker = AloudSpeaker(stop=stop)
    speaker.say("Close the charging valve by hand until it is tight.")
    speaker.close()
    assert device.aborted == [True]
    assert [len(each) for each in device.played] == [2_205] * 3


def test_a_beep_is_two_tones(device: ModuleType) -> None:
    speaker = AloudSpeaker()
    speaker.beep()
    speaker.close()
    (sound,) = device.played
    assert len(sound) / 44_100 == pytest.approx(0.45, abs=0.01)
    assert abs(sound).max() == pytest.approx(8_000, abs=10)


def test_a_device_that_comes_back_at_another_rate_is_spoken_through_at_that_rate(
    device: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Such as a headset that is plugged in again and found by another name."""
    speaker = AloudSpeaker()
    speaker.say("Affirm.")
    monkeypatch.setattr(device, "rate_hz", 22_050.0)
    speaker.say("Affirm.")
    speaker.beep()
    speaker.close()
    assert [rate_hz for rate_hz, *_ in device.opened] == [44_100, 22_050, 22_050]
    before, after, _ = device.played
    assert len(before) / 44_100 == pytest.approx(len(after) / 22_050, abs=0.01)


def test_a_device_that_is_not_there_any_more_is_reported(
    device: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    speaker = AloudSpeaker()

    def gone(kind: str) -> None:
        raise device.PortAudioError("Error querying device -1")

    monkeypatch.setattr(device, "query_devices", gone)
    with pytest.raises(NoSoundDevice, match="no output found"):
        speaker.say("Affirm.")
    with pytest.raises(NoSoundDevice, match="no output found"):
        speaker.beep()
    speaker.close()


def test_a_device_at_another_rate_is_spoken_through_by_the_voice_that_was_chosen(
    device: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[tuple[int, float]] = []

    def open_voice(rate_hz: int, speed: float) -> Voice:
        opened.append((rate_hz, speed))
        return Voice(rate_hz, speed)

    speaker = AloudSpeaker(speed=1.5, open_voice=open_voice)
    monkeypatch.setattr(device, "rate_hz", 22_050.0)
    speaker.say("Affirm.")
    speaker.close()
    assert opened == [(44_100, 1.5), (22_050, 1.5)]
