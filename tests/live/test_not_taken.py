"""What was said and is not taken, such as a voice from afar, leaves no trace in what comes next."""

import contextlib
from collections.abc import Callable

import pytest

from handsfree.hearing.live.early import EarlyRecognition
from handsfree.hearing.live.endpoint import FRAME_MS
from handsfree.hearing.live.microphone import Block
from handsfree.record.marks import NotHeard
from handsfree.running.parts import Reached, Utterance
from handsfree.words.phrases import PhraseSet, Standard
from handsfree.words.standard import StandardWord
from tests.live.ears import ear_on
from tests.live.fakes import Arrays, AtOnce, Clock, EndOfSound, Hears, silence, voice

WORDS = PhraseSet(tuple(map(Standard, StandardWord)))
PAUSE = 20  # frames: longer than "say again" is waited for, and not so long that a person is done
FAR = 0.012


def reached_by(recognition: EarlyRecognition, clock: Clock, microphone: Arrays) -> list[Reached]:
    ear = ear_on(microphone, clock, recognition)
    found = list[Reached]()
    with contextlib.suppress(EndOfSound):
        while True:
            found.append(ear.hear(WORDS))
    return found


def say_again_at_once() -> EarlyRecognition:
    recognizer = Hears("say again")
    return AtOnce(recognizer, lambda: recognizer)


def at_once(*sound: Block) -> list[Reached]:
    """All of it came while the computer was busy, and is looked at in one go."""
    clock = Clock()
    microphone = Arrays(clock, *silence(10))
    microphone.meanwhile(*sound)
    return reached_by(say_again_at_once(), clock, microphone)


def one_by_one(*sound: Block) -> list[Reached]:
    clock = Clock()
    return reached_by(say_again_at_once(), clock, Arrays(clock, *sound))


NEAR_THEN_FAR_THEN_NEAR = (
    *(*silence(20), *voice(20), *silence(40)),
    *(*voice(25, FAR), *silence(PAUSE)),
    *(*voice(30), *silence(80)),
)


@pytest.mark.parametrize("come", [at_once, one_by_one])
def test_a_voice_from_afar_neither_joins_what_is_said_next_nor_takes_back_what_was_said_before(
    come: Callable[..., list[Reached]],
) -> None:
    before, far, after = come(*NEAR_THEN_FAR_THEN_NEAR)
    assert isinstance(before, Utterance)
    assert isinstance(far, NotHeard)
    assert isinstance(after, Utterance)
    assert after.heard.ended_by is not None
    assert after.heard.ended_by.joined == 0
    assert before.audio is not None
    assert after.audio is not None
    seconds = len(after.audio.samples) / 16_000
    assert seconds < FRAME_MS / 1000 * (30 + PAUSE + 5)  # nothing of the voice from afar is in it
