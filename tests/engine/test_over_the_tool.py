"""What is said over the tool's own voice: only to stop or to wait is heeded, at any moment."""

import pytest

from handsfree.engine.effects import Say, Speech
from handsfree.engine.entries import NotActedOn, NotHeeded, StepBegun, StepConfirmed
from handsfree.engine.events import Started
from handsfree.engine.over_the_tool import LISTENED_FOR, asks_to_wait
from handsfree.engine.phase import Phase
from handsfree.engine.trust import STOP_AT, WAIT_AT
from handsfree.words.meanings import Understood
from tests.engine.conversation import TO_PRESSURE, TO_TEMPERATURE, Conversation, heard
from tests.long_task import LongRun


def speaking(*said: str) -> Conversation:
    """The run while it says what follows from the last of these."""
    run = Conversation().start().say(*said[:-1])
    run.send(heard(said[-1]))
    assert run.state.speaking
    return run


@pytest.mark.parametrize("words", ["stop", "no stop", "stand by", "wait", "hold on"])
def test_whoever_says_stop_over_the_tool_is_heeded(words: str) -> None:
    run = speaking("pin fitted")
    run.send(heard(words))
    run.finish_speaking()
    assert run.state.phase is Phase.STANDING_BY
    assert run.answer.startswith("Standing by")


def test_a_warning_that_was_cut_off_is_said_again_before_anything_counts() -> None:
    run = Conversation()
    run.send(Started())
    run.send(heard("stop"))
    run.finish_speaking().say("the telephone", "go ahead")
    warning = next(each for each in run.last if isinstance(each, Say) and "door" in each.text)
    assert (warning.speech, warning.text) == (Speech.WARNING, "Warning. The door can move.")
    assert run.answer.endswith("Step one. Fit the safety pin. Report pin fitted.")


def test_a_step_that_is_only_said_is_not_passed_where_it_was_cut_off() -> None:
    run = Conversation().start()
    run.send(heard("pin fitted"))
    assert run.step == "wait"
    run.send(heard("stop"))
    run.finish_speaking()
    assert run.step == "wait"
    run.say("the telephone", "go ahead")
    assert [type(each) for each in run.written][-2:] == [StepConfirmed, StepBegun]
    assert "The bottle takes the temperature of the air." in run.answer


def test_a_value_that_was_not_read_back_to_its_end_is_asked_for_anew() -> None:
    run = speaking(*TO_PRESSURE, "three thousand")
    run.send(heard("stop"))
    run.finish_speaking().say("the telephone", "go ahead")
    assert run.state.phase is Phase.ANSWERING
    assert run.say("affirm").state.phase is Phase.ANSWERING


def test_it_is_heeded_where_a_remark_is_asked_for() -> None:
    run = Conversation().start()
    run.send(heard("unable"))
    assert run.state.phase is Phase.REMARKING
    run.send(heard("stop"))
    assert run.finish_speaking().state.phase is Phase.STANDING_BY


def test_it_is_heeded_though_it_was_hardly_heard() -> None:
    assert asks_to_wait(heard("stop", STOP_AT))
    assert not asks_to_wait(heard("stop", STOP_AT - 0.01))
    assert asks_to_wait(heard("stand by", WAIT_AT))
    assert not asks_to_wait(heard("stand by", WAIT_AT - 0.01))


@pytest.mark.parametrize("words", ["pin fitted", "affirm", "don't stop", "okay", "unable", "help"])
def test_nothing_else_is_heeded(words: str) -> None:
    run = speaking(*TO_TEMPERATURE)
    before = run.state
    run.send(heard(words))
    assert run.state == before
    assert run.written == [NotHeeded(run.step, tuple(words.split()), NotActedOn.SPOKEN_OVER)]


def test_while_the_task_stands_by_already_it_is_noted() -> None:
    run = Conversation().start()
    run.send(heard("stand by"))
    run.send(heard("stop"))
    assert [type(each) for each in run.written] == [NotHeeded]
    assert run.state.speaking


def test_what_must_not_be_bent_into_stop_is_listened_for_too() -> None:
    for words in ("don't stop", "okay", "affirm", "what is next", "no wait", "go ahead"):
        assert isinstance(LISTENED_FOR.parse(words.split()), Understood)
        assert not asks_to_wait(heard(words))


def test_the_first_of_two_values_stays_secret_where_the_tool_was_stopped() -> None:
    run = LongRun().begin().to_step("bottle-pressure")
    figures = run.right()[0].removesuffix(" p s i")
    run.send(heard(run.right()[0]))
    run.send(heard("stop"))
    run.finish_speaking()
    assert figures not in run.answer
    assert figures not in run.hear("go ahead").answer
