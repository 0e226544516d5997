"""A voice that fails in the middle of a run, and the one that goes on."""

import logging

import numpy as np
import pytest

from handsfree.speaking.reserve import VoiceWithReserve
from handsfree.speaking.voice import SpeechEngineFailed


class Engine:
    """Speaks in samples of one value; fails when told."""

    def __init__(self, value: int) -> None:
        self.value = value
        self.fails = False
        self.closed = 0

    def render(self, text: str) -> np.ndarray:
        if self.fails:
            raise SpeechEngineFailed("it is dead")
        return np.full(3, self.value, np.int16)

    def close(self) -> None:
        self.closed += 1


def missing() -> Engine:
    raise SpeechEngineFailed("it is missing")


def test_the_first_voice_speaks_and_the_reserve_is_not_started() -> None:
    voice = VoiceWithReserve(lambda: Engine(1), missing)
    assert list(voice.render("Affirm.")) == [1, 1, 1]
    voice.close()


def test_the_utterance_that_the_first_voice_fails_in_is_spoken_and_told_of_once(
    caplog: pytest.LogCaptureFixture,
) -> None:
    first = Engine(1)
    voice = VoiceWithReserve(lambda: first, lambda: Engine(2))
    first.fails = True
    assert list(voice.render("Affirm.")) == [2, 2, 2]
    first.fails = False  # a voice that comes and goes would be heard as two people
    assert list(voice.render("Affirm.")) == [2, 2, 2]
    assert first.closed == 1
    (record,) = caplog.records
    assert record.levelno == logging.WARNING
    assert record.getMessage().startswith("The speech engine failed: it is dead.")
    assert record.getMessage().endswith("From here on the built-in voice speaks.")


def test_a_first_voice_that_cannot_start_is_told_of_and_the_reserve_speaks(
    caplog: pytest.LogCaptureFixture,
) -> None:
    voice = VoiceWithReserve(missing, lambda: Engine(2))
    assert list(voice.render("Affirm.")) == [2, 2, 2]
    assert "it is missing" in caplog.text


def test_without_both_voices_the_failure_is_met_each_time() -> None:
    first = Engine(1)
    voice = VoiceWithReserve(lambda: first, missing)
    first.fails = True
    for _ in range(2):
        with pytest.raises(SpeechEngineFailed, match="it is missing"):
            voice.render("Affirm.")
    voice.close()
    with pytest.raises(SpeechEngineFailed, match="it is missing"):
        VoiceWithReserve(missing, missing)


def test_closing_ends_both_voices() -> None:
    first, reserve = Engine(1), Engine(2)
    voice = VoiceWithReserve(lambda: first, lambda: reserve)
    first.fails = True
    voice.render("Affirm.")
    voice.close()
    voice.close()
    assert first.closed == 1
    assert reserve.closed == 2
