"""Recognition in a thread of its own: early results, crashes and hangs."""

import subprocess
import sys
import threading
from datetime import timedelta

import numpy as np
import pytest

from handsfree.errors import HandsfreeError
from handsfree.hearing.audio import Audio
from handsfree.hearing.live.early import EarlyRecognition, RecognizerFailed
from handsfree.words.heard import Heard
from handsfree.words.phrases import Confirmation, PhraseSet
from tests.live.fakes import Hears

SOUND = Audio(np.zeros(512, np.float32), timedelta(0))
ANYTHING = PhraseSet(())


class Hangs:
    """A recognizer that never answers, until it is let go."""

    def __init__(self) -> None:
        self.let_go = threading.Event()

    def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
        self.let_go.wait(10)
        raise RuntimeError("too late")


def test_a_recognizer_that_hangs_is_replaced() -> None:
    hangs = Hangs()
    early = EarlyRecognition(hangs, lambda: Hears("affirm"), patience_s=0.01)
    early.begin(SOUND, ANYTHING)
    with pytest.raises(RecognizerFailed, match=r"no result in 0\.01 s\. It was started again\."):
        early.result()
    early.begin(SOUND, ANYTHING)
    patient = EarlyRecognition(Hears("affirm"), lambda: Hears("affirm"))
    patient.begin(SOUND, ANYTHING)
    assert patient.result().words == ("affirm",)
    hangs.let_go.set()
    early.close()
    patient.close()


HANGS_FOR_GOOD = """
import threading
from handsfree.hearing.live.early import EarlyRecognition, RecognizerFailed
from tests.hearing.live.test_early import ANYTHING, SOUND
class Hangs:
    def recognize(self, audio, phrases): threading.Event().wait()
early = EarlyRecognition(Hangs(), Hangs, patience_s=0.01)
for _ in range(2):
    early.begin(SOUND, ANYTHING)
    try: early.result()
    except RecognizerFailed as error: print(error)
early.begin(SOUND, ANYTHING)
early.close()
"""


def test_a_recognizer_that_hangs_does_not_keep_the_program_from_its_end() -> None:
    command = [sys.executable, "-c", HANGS_FOR_GOOD]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=True)
    assert done.stdout.count("no result in 0.01 s. It was started again.") == 2


def test_a_recognizer_that_cannot_be_started_again_is_tried_the_next_time() -> None:
    class NoMemory(HandsfreeError):
        pass

    tries = iter([NoMemory("no memory."), None])

    def again() -> Hears:
        if (error := next(tries)) is not None:
            raise error
        return Hears("affirm")

    early = EarlyRecognition(Hears(RuntimeError("broken")), again)
    early.begin(SOUND, ANYTHING)
    with pytest.raises(RecognizerFailed, match=r"It cannot be started again: no memory\.$"):
        early.result()
    early.begin(SOUND, ANYTHING)
    with pytest.raises(RecognizerFailed, match=r"it had not started\. It was started again\."):
        early.result()
    early.begin(SOUND, ANYTHING)
    assert early.result().words == ("affirm",)
    early.close()


def test_a_dropped_result_is_told_to_nobody_and_is_not_the_next_one() -> None:
    begun, gate, told = threading.Event(), threading.Event(), list[Heard]()

    class Waits(Hears):
        def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
            begun.set()
            gate.wait(10)
            return super().recognize(audio, phrases)

    early = EarlyRecognition(Waits("two niner", "two niner five"), lambda: Hears(""), told.append)
    early.begin(SOUND, ANYTHING)
    begun.wait(10)  # from here on it cannot be cancelled, only forgotten
    early.drop()
    early.begin(SOUND, ANYTHING)
    gate.set()
    assert early.result().words == ("two", "niner", "five")
    early.close()
    assert all(each.words == ("two", "niner", "five") for each in told)


def test_an_early_result_that_comes_after_speech_went_on_is_told_to_nobody() -> None:
    """Else the voice would make the answer to half an utterance ready before the real one."""
    begun, gate, told = threading.Event(), threading.Event(), list[Heard]()

    class Waits(Hears):
        def recognize(self, audio: Audio, phrases: PhraseSet) -> Heard:
            begun.set()
            gate.wait(10)
            return super().recognize(audio, phrases)

    early = EarlyRecognition(Waits("two niner"), lambda: Hears(""), told.append)
    early.begin(SOUND, ANYTHING)
    begun.wait(10)
    early.drop()
    gate.set()
    early.close()  # waits for what is being done
    assert told == []


def test_an_early_result_is_told_while_nobody_has_asked_for_it_yet() -> None:
    told, was_told = list[Heard](), threading.Event()

    def tell(heard: Heard) -> None:
        told.append(heard)
        was_told.set()

    early = EarlyRecognition(Hears("affirm"), lambda: Hears(""), tell)
    early.begin(SOUND, ANYTHING)
    assert was_told.wait(10)
    assert early.result() == told[0]
    early.close()


def test_whoever_is_told_and_fails_takes_nothing_from_the_result() -> None:
    def tell(heard: Heard) -> None:
        raise RuntimeError("the voice has ended")

    early = EarlyRecognition(Hears("affirm"), lambda: Hears(""), tell)
    early.begin(SOUND, ANYTHING)
    assert early.result().words == ("affirm",)
    early.begin(SOUND, ANYTHING)
    assert early.result().words == ("affirm",)
    early.close()


class Learns(Hears):
    """A recognizer that is told what may be said."""

    def __init__(self, *words: str) -> None:
        super().__init__(*words)
        self.told: list[PhraseSet] = []

    def make_ready(self, phrases: PhraseSet) -> None:
        self.told.append(phrases)
        if len(phrases.phrases) > 1:
            raise RuntimeError("out of memory")


def test_what_may_be_said_is_told_once_and_before_it_is_said() -> None:
    recognizer = Learns("affirm")
    early = EarlyRecognition(recognizer, lambda: recognizer)
    early.make_ready(ANYTHING)
    early.make_ready(ANYTHING)
    early.begin(SOUND, ANYTHING)
    assert early.result().words == ("affirm",)
    assert recognizer.told == [ANYTHING]
    early.close()


def test_a_recognizer_that_fails_to_make_ready_still_hears() -> None:
    recognizer = Learns("affirm")
    early = EarlyRecognition(recognizer, lambda: recognizer)
    early.make_ready(PhraseSet((Confirmation("pin fitted"), Confirmation("cover closed"))))
    early.begin(SOUND, ANYTHING)
    assert early.result().words == ("affirm",)
    early.close()
