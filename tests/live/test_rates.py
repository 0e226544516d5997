"""Microphones of other rates than the listeners': a block of theirs can hold several frames."""

import contextlib
from decimal import Decimal

import numpy as np
import pytest
import soxr

from handsfree.hearing.audio import SAMPLE_RATE, Audio
from handsfree.hearing.live.early import EarlyRecognition
from handsfree.hearing.live.microphone import BLOCK_MS, Block
from handsfree.running.parts import Utterance
from handsfree.words.awaited import Scale
from handsfree.words.heard import EndedBy, Heard
from handsfree.words.phrases import Confirmation, PhraseSet, Reading, Standard
from handsfree.words.standard import StandardWord
from tests.live.ears import ear_on
from tests.live.fakes import Arrays, AtOnce, Clock, EndOfSound, silence, voice

GAUGE = PhraseSet(
    (Reading(("pressure",), "psi"), Confirmation("pin fitted"), Standard(StandardWord.AFFIRM)),
    awaited=Scale.around(Decimal(10), Decimal(2800), Decimal(3200)),
)
# What people say, and how long they are silent behind it, in frames.
HALF_A_VALUE = (*voice(15), *silence(70))
A_VALUE_IN_TWO = (*voice(15), *silence(35), *voice(25), *silence(70))
TWO_IN_A_ROW = (*voice(10), *silence(40), *voice(25), *silence(70))


class Late(EarlyRecognition):
    """It is known only when it is waited for."""

    def known(self) -> Heard | None:
        return None


class ByLength:
    """A recognizer that hears half a value in short sound, and all of it in long sound."""

    def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
        words = "two niner" if len(audio.samples) < SAMPLE_RATE * 1.3 else "two niner five zero"
        return Heard(tuple(words.split()), 0.99, (), (), audio.started, audio.ended)


def at_rate(rate_hz: int, sound: tuple[Block, ...]) -> list[Block]:
    """The same sound, as a device of that rate gives it."""
    samples = np.concatenate([each.samples[:, 0] for each in sound])
    samples = soxr.resample(samples, SAMPLE_RATE, rate_hz)
    length = rate_hz * BLOCK_MS // 1000
    return [
        Block(samples[at : at + length, None], gap=False) for at in range(0, len(samples), length)
    ]


def heard_at(
    rate_hz: int, recognition: type[EarlyRecognition], before: int, sound: tuple[Block, ...]
) -> list[tuple[tuple[str, ...], EndedBy | None]]:
    clock, recognizer = Clock(), ByLength()
    microphone = Arrays(clock, *at_rate(rate_hz, (*silence(before), *sound)))
    microphone.rate_hz = rate_hz
    ear = ear_on(microphone, clock, recognition(recognizer, lambda: recognizer))
    found = []
    with contextlib.suppress(EndOfSound):
        while True:
            reached = ear.hear(GAUGE)
            assert isinstance(reached, Utterance)
            found.append((reached.heard.words, reached.heard.ended_by))
    return found


@pytest.mark.parametrize("rate_hz", [8_000, 44_100, 48_000])
@pytest.mark.parametrize("recognition", [AtOnce, Late])
@pytest.mark.parametrize("before", [20, 21, 22, 23])  # so that frames and blocks meet otherwise
@pytest.mark.parametrize("sound", [HALF_A_VALUE, A_VALUE_IN_TWO, TWO_IN_A_ROW])
def test_at_any_rate_the_same_utterances_are_heard_and_end_by_the_same_rules(
    rate_hz: int, recognition: type[EarlyRecognition], before: int, sound: tuple[Block, ...]
) -> None:
    expected = heard_at(SAMPLE_RATE, recognition, before, sound)
    assert expected
    assert heard_at(rate_hz, recognition, before, sound) == expected
