"""What is said over the tool's own voice, or cut off by it: it makes the work wait, or is told.

It is heard through the voice only where the headset keeps that out of the microphone. What goes on
after the voice is heard always.
"""

import threading
from collections.abc import Callable
from datetime import timedelta

import pytest

from handsfree.hearing.live.early import EarlyRecognition
from handsfree.hearing.live.endpoint import FRAME_MS, Rules
from handsfree.hearing.live.microphone import Block
from handsfree.hearing.live.waits import MOVES_ON, WAITS, Wait
from handsfree.hearing.recognizer import Recognizer
from handsfree.record.marks import NotHeard
from handsfree.running.live_ear import LiveEar
from handsfree.running.parts import Utterance
from handsfree.running.sound_in import HeadsetLine
from handsfree.words.heard import Trouble
from handsfree.words.phrases import Order, PhraseSet, Standard
from handsfree.words.plain import PlainWord
from handsfree.words.rest import Rest
from handsfree.words.standard import StandardWord
from tests.live.ears import BOTH, TECHNICIAN, ear_on
from tests.live.fakes import Arrays, AtOnce, Clock, EndOfSound, Hears, blocks, silence, voice

RULES = Rules()
ANYTHING = PhraseSet(())
TO_WAIT = ["stop", "stand by", "hold on"]
TO_TAKE_BACK = ["negative", "correction", "no wait", "no negative"]


def over_the_tool(
    recognizer: Recognizer, lines: tuple[HeadsetLine, ...] = TECHNICIAN, *sound: Block
) -> tuple[LiveEar, threading.Event]:
    """An ear that has heard this while the tool spoke, and when its early result is known."""
    clock, known = Clock(), threading.Event()
    microphone = Arrays(clock)
    recognition = EarlyRecognition(recognizer, lambda: recognizer, lambda _: known.set())
    ear = ear_on(microphone, clock, recognition, lines, own_voice_kept_out=True)
    ear.tool_speaks()
    microphone.meanwhile(*(sound or (*silence(20), *voice(20), *silence(RULES.early + 1))))
    return ear, known


@pytest.mark.parametrize("words", [*TO_WAIT, *TO_TAKE_BACK])
def test_what_makes_the_work_wait_is_heard_over_the_tool_once(words: str) -> None:
    ear, known = over_the_tool(Hears(words))
    ear.told_to_stop()
    assert known.wait(5)
    assert ear.told_to_stop()
    stop = ear.stop_said()
    assert isinstance(stop, Utterance)
    assert (stop.heard.words, stop.source) == (tuple(words.split()), "technician")
    assert stop.audio is not None
    assert not ear.told_to_stop()
    assert ear.stop_said() is None
    with pytest.raises(EndOfSound):
        ear.hear(ANYTHING)


def test_what_goes_on_over_the_tool_is_not_taken_for_what_it_began_with() -> None:
    """Of "stop ... watch running" the first word is known before the others are said."""
    clock, recognizer = Clock(), Hears("stop", "")
    microphone = Arrays(clock)
    ear = ear_on(microphone, clock, AtOnce(recognizer, lambda: recognizer), own_voice_kept_out=True)
    ear.tool_speaks()
    microphone.meanwhile(*silence(20), *voice(20), *silence(RULES.early - 1))
    assert not ear.told_to_stop()
    microphone.meanwhile(*silence(1), *voice(5))
    assert not ear.told_to_stop()
    assert ear.stop_said() is None
    assert len(recognizer.given) == 1


def test_the_next_sentence_of_the_tool_does_not_forget_what_is_said_over_it() -> None:
    ear, known = over_the_tool(Hears("stand by"))
    ear.told_to_stop()
    ear.tool_speaks()
    assert known.wait(5)
    assert ear.told_to_stop()


def test_a_stop_that_nobody_asked_for_while_the_tool_spoke_is_heard_next() -> None:
    ear, _ = over_the_tool(Hears("stop"))
    ear.told_to_stop()
    reached = ear.hear(ANYTHING)
    assert isinstance(reached, Utterance)
    assert reached.heard.words == ("stop",)


@pytest.mark.parametrize("words", ["pin fitted", "affirm", "don't stop", ""])
@pytest.mark.parametrize("silent", [RULES.early + 1, RULES.silence + 1])
def test_nothing_else_that_is_said_over_the_tool_is_taken_and_it_is_told(
    words: str, silent: int
) -> None:
    clock, recognizer = Clock(), Hears(words)
    microphone = Arrays(clock)
    ear = ear_on(microphone, clock, AtOnce(recognizer, lambda: recognizer), own_voice_kept_out=True)
    ear.tool_speaks()
    for sound in (silence(20), voice(20), silence(RULES.early), silence(silent - RULES.early)):
        microphone.meanwhile(*sound)
        assert not ear.told_to_stop()
    assert ear.stop_said() is None
    told = ear.hear(ANYTHING)
    what = words or "something that fits nothing"
    assert told == NotHeard("technician", f"Said while the tool spoke, and not acted on: {what}.")
    with pytest.raises(EndOfSound):  # once
        ear.hear(ANYTHING)


def test_of_what_goes_on_over_the_tool_only_the_whole_is_told() -> None:
    clock, recognizer = Clock(), Hears("what", "what is next")
    microphone = Arrays(clock)
    ear = ear_on(microphone, clock, AtOnce(recognizer, lambda: recognizer), own_voice_kept_out=True)
    ear.tool_speaks()
    for sound in (voice(20), silence(RULES.early + 1), voice(10), silence(RULES.silence + 5)):
        microphone.meanwhile(*sound)
        assert not ear.told_to_stop()
    assert ear.hear(ANYTHING) == NotHeard(
        "technician", "Said while the tool spoke, and not acted on: what is next."
    )
    with pytest.raises(EndOfSound):
        ear.hear(ANYTHING)


def test_what_is_said_over_the_tool_before_the_last_is_told_though_it_was_not_known_in_time() -> (
    None
):
    clock, recognizer = Clock(), Hears("what is next")

    class Late(EarlyRecognition):
        @property
        def is_done(self) -> bool:
            return False

    microphone = Arrays(clock)
    ear = ear_on(microphone, clock, Late(recognizer, lambda: recognizer), own_voice_kept_out=True)
    ear.tool_speaks()
    microphone.meanwhile(*(*voice(20), *silence(RULES.silence + 1)) * 2)
    assert not ear.told_to_stop()
    what = "Said while the tool spoke, and not acted on"
    told = [ear.hear(ANYTHING) for _ in range(2)]
    assert told == [
        NotHeard("technician", f"{what}: something that fits nothing."),
        NotHeard("technician", f"{what}: what is next."),
    ]


def test_anyone_may_stop_the_tool_but_no_voice_that_reaches_another_microphone() -> None:
    quiet = blocks(0.0, 20, (1.0, 1.0))
    second = (*quiet, *blocks(0.1, 20, (0.0, 1.0)), *quiet[: RULES.early + 1])
    ear, _ = over_the_tool(Hears("stop"), BOTH, *second)
    ear.told_to_stop()
    stop = ear.stop_said()
    assert isinstance(stop, Utterance)
    assert stop.heard.channel == 2
    assert stop.source == "second-person"


def test_a_recognizer_that_fails_over_the_tool_is_told_of() -> None:
    ear, _ = over_the_tool(Hears(RuntimeError("broken"), "stop"))
    ear.told_to_stop()
    assert ear.stop_said() is None
    told = ear.hear(ANYTHING)
    assert isinstance(told, NotHeard)
    assert told.problem.startswith("The recognizer failed: RuntimeError: broken")


def cut_off(words: str) -> LiveEar:
    """An ear at which these words are what is left of what began while the tool spoke."""
    clock, recognizer = Clock(), Hears(words)
    microphone = Arrays(clock, *voice(15), *silence(30))
    ear = ear_on(
        microphone, clock, EarlyRecognition(recognizer, lambda: recognizer), own_voice_kept_out=True
    )
    ear.tool_speaks()
    microphone.meanwhile(*silence(20), *voice(10))
    return ear


@pytest.mark.parametrize("words", ["fitted", "affirm", "don't stop"])
def test_an_utterance_that_began_under_the_voice_is_asked_for_again(words: str) -> None:
    """Of "pin not fitted", "fitted" must not be acted on."""
    ear = cut_off(words)
    told = ear.hear(ANYTHING)
    assert isinstance(told, NotHeard)
    assert told.problem == "It began while the tool spoke, so its first words may be missing."
    asked = ear.hear(ANYTHING)
    assert isinstance(asked, Utterance)
    assert (asked.heard.words, asked.heard.score) == ((), 0.0)
    assert asked.heard.trouble is Trouble.CUT_OFF
    assert asked.audio is not None


@pytest.mark.parametrize("words", [*TO_WAIT, *TO_TAKE_BACK])
@pytest.mark.parametrize("phrases", [ANYTHING, PhraseSet((Order(PlainWord.STOP),))])
def test_what_makes_the_work_wait_reaches_the_run_though_it_began_under_the_voice(
    words: str, phrases: PhraseSet
) -> None:
    """Whatever is listened for then, such as a remark; that it was cut off is told with it."""
    reached = cut_off(words).hear(phrases)
    assert isinstance(reached, Utterance)
    assert reached.heard.words == tuple(words.split())
    assert reached.heard.score == 0.99
    assert reached.heard.trouble is Trouble.CUT_OFF


def ear_that_spoke(recognizer: Recognizer, *meanwhile: Block) -> tuple[Arrays, LiveEar]:
    """An ear of which nobody has said whether the tool is kept out, after a first instruction."""
    clock = Clock()
    microphone = Arrays(clock)
    ear = ear_on(microphone, clock, AtOnce(recognizer, lambda: recognizer))
    ear.tool_speaks()
    microphone.meanwhile(*meanwhile)
    assert not ear.told_to_stop()  # nothing is known before it has finished
    ear.tool_speaks()
    return microphone, ear


FOUR_SECONDS = 125


def test_whoever_is_heard_through_the_voice_is_found_out_while_it_speaks() -> None:
    microphone, ear = ear_that_spoke(Hears("negative"), *silence(FOUR_SECONDS))
    microphone.meanwhile(*silence(20), *voice(20), *silence(RULES.early + 1))
    assert ear.told_to_stop()


def test_a_tool_that_hears_itself_is_not_stopped_by_its_own_words() -> None:
    microphone, ear = ear_that_spoke(Hears("stop"), *voice(FOUR_SECONDS))
    microphone.meanwhile(*silence(20), *voice(20), *silence(RULES.early + 1))
    assert not ear.told_to_stop()
    assert ear.stop_said() is None
    with pytest.raises(EndOfSound):
        ear.hear(ANYTHING)


@pytest.mark.parametrize(("meanwhile", "wait"), [(silence, WAITS[Rest.NOTHING]), (voice, MOVES_ON)])
def test_affirm_is_answered_sooner_where_it_can_be_taken_back_over_the_answer(
    meanwhile: Callable[[int], list[Block]], wait: Wait
) -> None:
    microphone, ear = ear_that_spoke(Hears("affirm"), *meanwhile(FOUR_SECONDS))
    microphone.add(*silence(20), *voice(15), *silence(60))
    reached = ear.hear(PhraseSet((Standard(StandardWord.AFFIRM),)))
    assert isinstance(reached, Utterance)
    assert reached.heard.ended_by is not None
    assert reached.heard.ended_by.after == timedelta(milliseconds=FRAME_MS * wait.silence)
