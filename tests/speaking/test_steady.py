"""A run goes on when its voice fails: it beeps, or waits for the device to come back."""

import logging
from collections.abc import Callable

import pytest

from handsfree.speaking import aloud
from handsfree.speaking.aloud import NoSoundDevice
from handsfree.speaking.steady import SteadySpeaker
from handsfree.speaking.voice import SpeechEngineFailed


class Aloud(aloud.AloudSpeaker):
    """The real one without a device."""

    def __init__(self) -> None:
        self.fails: Exception | None = None
        self.did: list[str] = []

    def say(self, text: str) -> None:
        if self.fails is not None:
            raise self.fails
        self.did.append(text)

    def beep(self) -> None:
        self.did.append("beep")

    def close(self) -> None:
        self.did.append("closed")


def test_a_dead_engine_beeps_for_everything_that_is_printed(
    caplog: pytest.LogCaptureFixture,
) -> None:
    inner = Aloud()
    speaker = SteadySpeaker(inner)
    inner.fails = SpeechEngineFailed("it is dead")
    speaker.say("Affirm?")
    speaker.say("Say again.")
    speaker.say(" ")
    speaker.expect(("Affirm?",))
    speaker.close()
    assert inner.did == ["closed", "beep", "beep"]
    (record,) = caplog.records
    assert record.levelno == logging.WARNING
    assert record.getMessage().endswith("From here on it beeps: read what is printed.")


def test_a_device_that_comes_back_is_spoken_through_again(
    caplog: pytest.LogCaptureFixture,
) -> None:
    inner = Aloud()
    speaker = SteadySpeaker(inner)
    inner.fails = NoSoundDevice("playing failed (Device unavailable)")
    speaker.say("One.")
    speaker.say("Two.")
    inner.fails = None
    speaker.say("Three.")
    inner.fails = NoSoundDevice("playing failed (Device unavailable)")
    speaker.say("Four.")
    assert inner.did == ["Three."]
    assert [each.getMessage() for each in caplog.records] == [
        "No sound device: playing failed (Device unavailable). "
        "Speech is not heard until it is back."
    ] * 2


def test_a_beep_without_a_device_is_silent(stand_in: Callable[[str, str], None]) -> None:
    inner = Aloud()
    speaker = SteadySpeaker(inner)
    inner.fails = SpeechEngineFailed("it is dead")

    def no_device() -> None:
        raise NoSoundDevice("gone")

    inner.beep = no_device  # type: ignore[method-assign]
    speaker.say("Affirm?")
    speaker.say("Affirm?")


def test_what_was_not_heard_is_told_once_for_each_time() -> None:
    inner = Aloud()
    speaker = SteadySpeaker(inner)
    speaker.say("Affirm?")
    assert speaker.why_unheard() is None
    inner.fails = NoSoundDevice("playing failed (Device unavailable)")
    speaker.say("Warning. The door can move.")
    inner.fails = None
    speaker.say("Fit the pin.")  # heard; but the warning was not
    assert speaker.why_unheard() == "the sound device failed"
    assert speaker.why_unheard() is None


def test_an_engine_that_dies_in_a_warning_leaves_it_unheard_and_beeps_are_heard() -> None:
    inner = Aloud()
    speaker = SteadySpeaker(inner)
    inner.fails = SpeechEngineFailed("it is dead")
    speaker.say("Warning. The door can move.")
    assert speaker.why_unheard() == "the speech engine failed"
    speaker.say("Fit the pin.")
    assert speaker.why_unheard() is None

    def no_device() -> None:
        raise NoSoundDevice("gone")

    inner.beep = no_device  # type: ignore[method-assign]
    speaker.say("Fit the pin.")
    assert speaker.why_unheard() == "the sound device failed"
