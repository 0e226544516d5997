"""The voice is ready, a warning is never stopped, and the tool does not hear itself."""

import pytest

from handsfree.engine.effects import Listen, Say, Speech
from handsfree.engine.phase import Phase
from handsfree.running.barge_in import Interruption
from handsfree.running.half_duplex import HalfDuplex
from handsfree.running.voice_ahead import Foresight
from handsfree.words.phrases import PhraseSet
from tests.engine.conversation import TASK, Conversation, heard
from tests.engine.people_task import INES, TO_LOCK, at

LISTEN = Listen(PhraseSet(()))


def test_while_listening_the_next_step_and_then_the_sure_answer_are_made_ready() -> None:
    expected: list[tuple[str, ...]] = []
    hurried: list[tuple[str, ...]] = []
    foresight = Foresight(TASK, expected.append, hurried.append)
    run = Conversation().start()
    foresight.follows(run.state, LISTEN)
    assert any("Step three." in text for text in expected[0])
    foresight.maybe(heard("stand by"))
    assert hurried == [("Standing by. Say why, then go ahead to go on.",)]


def test_a_late_early_result_changes_nothing_once_the_tool_answers() -> None:
    hurried: list[tuple[str, ...]] = []
    foresight = Foresight(TASK, lambda _: None, hurried.append)
    run = Conversation().start()
    foresight.follows(run.state, LISTEN)
    foresight.follows(run.state, Say(Speech.READ_BACK, "Pin fitted."))
    foresight.maybe(heard("stand by"))
    assert hurried == []


def test_what_cannot_be_foreseen_never_ends_the_run(caplog: pytest.LogCaptureFixture) -> None:
    def broken(_: tuple[str, ...]) -> None:
        raise RuntimeError("cannot be rendered")

    foresight = Foresight(TASK, broken, broken)
    run = Conversation().start()
    for _ in range(2):
        foresight.follows(run.state, LISTEN)
        foresight.maybe(heard("stand by"))
    assert [each.getMessage() for each in caplog.records] == ["the voice is not made ready ahead"]


def stoppable(run: Conversation) -> set[Speech]:
    """What a voice stops that speaks all the time, of what can be said where the run stands."""
    interruption = Interruption(run.task)
    interruption.listens_with(lambda: True, lambda: False)
    stopped = set()
    for speech in Speech:
        interruption.follows(run.state, Say(speech, "Anything."))
        if interruption.wanted():
            stopped.add(speech)
    return stopped


def at_first_step(**changed: object) -> Conversation:
    first = TASK.steps[0].model_copy(update=changed)
    return Conversation(TASK.model_copy(update={"steps": (first, *TASK.steps[1:])})).start()


def test_a_voice_stops_an_instruction_and_nothing_else() -> None:
    """A notice tells what is undone or out of its place, and somebody may then affirm it."""
    assert stoppable(Conversation().start()) == {Speech.INSTRUCTION}


def test_stop_ends_whatever_is_being_said() -> None:
    run = at_first_step(critical=True)
    interruption = Interruption(run.task)
    interruption.listens_with(lambda: False, lambda: True)
    for speech in Speech:
        interruption.follows(run.state, Say(speech, "Anything."))
        assert interruption.wanted()


def test_the_instruction_of_a_critical_step_is_said_to_its_end() -> None:
    assert stoppable(at_first_step(critical=True)) == set()


def test_a_step_that_is_only_said_is_said_to_its_end() -> None:
    """Nobody answers to it, so when it has been stopped nobody would have heard it."""
    run = Conversation().start()
    run.send(heard("pin fitted"))
    assert run.step == "wait"
    assert stoppable(run) == set()


def test_what_was_done_is_told_to_the_inspector_to_its_end() -> None:
    run = at(*TO_LOCK, "lock tied", INES, "affirm")
    assert run.state.phase is Phase.INSPECTING
    assert stoppable(run) == set()


def test_without_a_voice_nothing_is_stopped() -> None:
    run = Conversation().start()
    interruption = Interruption(run.task)
    interruption.follows(run.state, Say(Speech.INSTRUCTION, "Fit the pin."))
    assert not interruption.wanted()


def test_the_ear_knows_before_the_tool_speaks() -> None:
    order: list[str] = []

    class Voice:
        def say(self, text: str) -> None:
            order.append(text)

        def close(self) -> None:
            order.append("closed")

    speaker = HalfDuplex(Voice(), lambda: order.append("deaf"))
    speaker.say("Affirm?")
    speaker.close()
    assert order == ["deaf", "Affirm?", "closed"]
