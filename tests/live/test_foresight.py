"""The voice is ready, a warning is never stopped, and the tool does not hear itself."""

from handsfree.engine.effects import Listen, Say, Speech
from handsfree.foresight import Foresight, HalfDuplex, Interruption
from handsfree.words.phrases import PhraseSet
from tests.engine.conversation import TASK, Conversation, heard

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


def test_a_voice_stops_an_instruction_and_never_a_warning_a_caution_or_a_read_back() -> None:
    interruption = Interruption()
    interruption.listens_with(lambda: True)
    stopped = set()
    for speech in Speech:
        interruption.follows(Conversation().state, Say(speech, "Anything."))
        if interruption.wanted():
            stopped.add(speech)
    assert stopped == {Speech.INSTRUCTION, Speech.NOTICE, Speech.NOTE}


def test_without_a_voice_nothing_is_stopped() -> None:
    interruption = Interruption()
    interruption.follows(Conversation().state, Say(Speech.INSTRUCTION, "Fit the pin."))
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
