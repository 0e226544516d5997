"""What is said over the tool's own voice, or is cut off by it: at any moment it can stop the work.

So does what takes something back, for it may be about what the tool has just acted on. Nothing else
is heeded. Common practice, no source.
"""

from dataclasses import replace

import pytest

from handsfree.engine.effects import Say, Speech
from handsfree.engine.entries import (
    NotActedOn,
    NotHeeded,
    Remarked,
    StepBegun,
    StepConfirmed,
    StoodBy,
)
from handsfree.engine.events import Started
from handsfree.engine.over_the_tool import LISTENED_FOR, asks_to_wait
from handsfree.engine.phase import Phase
from handsfree.engine.trust import STOP_AT, WAIT_AT
from handsfree.words.heard import Heard, Opinion, Trouble
from handsfree.words.meanings import Understood
from tests.engine import people_task
from tests.engine.conversation import TO_PRESSURE, TO_TEMPERATURE, Conversation, heard
from tests.engine.people_task import INES, SEFA, TO_COVER, TO_LOCK, Crewed
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


TAKES_BACK = [
    "negative",
    "correction",
    "disregard",
    "no wait",
    "sorry",
    "no negative",
    "not affirm",
]


@pytest.mark.parametrize("words", TAKES_BACK)
def test_what_is_taken_back_over_the_tool_makes_the_run_stand_by(words: str) -> None:
    """ "Affirm ... no, negative": the first was acted on, and the tool speaks already."""
    run = speaking(*TO_TEMPERATURE, "one five", "affirm")
    assert run.step == "pressure"
    run.send(heard(words))
    assert run.state.phase is Phase.STANDING_BY
    assert run.written == [StoodBy("pressure", f"{words}, over the voice of the tool")]
    run.finish_speaking()
    assert "back to step three" in run.answer.replace("3", "three")


def test_it_goes_on_from_there_and_back() -> None:
    run = speaking(*TO_TEMPERATURE, "one five", "affirm")
    run.send(heard("negative"))
    run.finish_speaking().say("go ahead", "back to step three", "affirm")
    assert run.step == "temperature"
    assert run.state.phase is Phase.ANSWERING


def test_what_is_taken_back_over_the_tool_is_heeded_though_it_was_hardly_heard() -> None:
    """It makes the work wait, and no more: to wait is always safe."""
    assert asks_to_wait(heard("negative", WAIT_AT))
    assert not asks_to_wait(heard("negative", WAIT_AT - 0.01))


def cut_off(words: str, score: float = 1.0, free_text: str = "") -> Heard:
    """What began while the tool spoke."""
    opinion = Opinion("any", tuple(words.split()), -1.0, 0.0, free_text or words)
    return replace(heard(words, score), opinions=(opinion,), trouble=Trouble.CUT_OFF)


@pytest.mark.parametrize("words", ["stop", "stand by", *TAKES_BACK])
def test_what_was_cut_off_makes_the_run_stand_by_too(words: str) -> None:
    run = Conversation().start().say(*TO_PRESSURE)
    run.send(cut_off(words))
    assert run.finish_speaking().state.phase is Phase.STANDING_BY


@pytest.mark.parametrize("words", ["affirm", "pin fitted", "three thousand", "go ahead", "unable"])
def test_nothing_else_that_was_cut_off_is_acted_on(words: str) -> None:
    for said in ((), TO_PRESSURE, (*TO_PRESSURE, "three thousand"), ("stand by", "the telephone")):
        run = Conversation().start().say(*said)
        before = run.state
        run.send(cut_off(words))
        assert [type(each) for each in run.written] == [NotHeeded]
        assert run.finish_speaking().state.waits_for == before.waits_for
        assert run.listens


def test_a_person_whose_beginning_was_cut_off_is_told_so() -> None:
    run = Conversation().start()
    run.send(cut_off("pin fitted"))
    assert run.answer == "Say again: you began while I spoke, wait until I have finished."


# Each of them waits for a remark in any words.
_REMARKS = {
    "why unable": (*TO_COVER, "unable"),
    "why rejected": (*TO_LOCK, "lock tied", INES, "affirm", "rejected"),
    "what was done": (
        *(*TO_COVER, "unable", "the hinge is bent", "part", "go ahead"),
        *("close finding one", SEFA, "affirm"),
    ),
    "who deferred": (*TO_COVER, "unable", "the hinge is bent", "part", "affirm"),
}


@pytest.mark.parametrize("said", _REMARKS.values(), ids=_REMARKS)
@pytest.mark.parametrize("words", ["the hinge is", "affirm", "say again", ""])
def test_what_was_cut_off_is_never_taken_for_a_remark(said: tuple[str, ...], words: str) -> None:
    """However often: of "not fitted as it should be" the first word may be missing."""
    run = people_task.at(*said)
    assert run.state.phase is Phase.REMARKING
    before = run.state.waits_for
    for _ in range(10):
        run.send(cut_off(words))
        assert [type(each) for each in run.written] == [NotHeeded]
        run.finish_speaking()
        assert run.state.waits_for == before
        assert run.did[-1] is Speech.QUESTION
    run.say("the hinge is not bent")
    assert any(isinstance(each, Remarked) for each in run.written) or _was_deferred(run)


def _was_deferred(run: Crewed) -> bool:
    return run.state.phase is Phase.REFERENCING


@pytest.mark.parametrize("said", _REMARKS.values(), ids=_REMARKS)
@pytest.mark.parametrize("words", ["stop", "stand by", "negative"])
def test_a_wish_to_wait_that_was_cut_off_is_no_remark_and_makes_the_run_stand_by(
    said: tuple[str, ...], words: str
) -> None:
    run = people_task.at(*said)
    run.send(cut_off(words))
    assert run.finish_speaking().state.phase is Phase.STANDING_BY
    assert not any(isinstance(each, Remarked) for each in run.written)


@pytest.mark.parametrize("words", ["stop", "negative", "the telephone"])
def test_what_was_cut_off_is_not_kept_as_the_reason_to_stand_by(words: str) -> None:
    run = Conversation().start().say("stand by")
    run.send(cut_off(words, free_text=words))
    assert [type(each) for each in run.written] == [NotHeeded]
    run.finish_speaking()
    assert run.listens
    run.say("the telephone")
    assert any(isinstance(each, Remarked) for each in run.written)


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
    for words in ("don't stop", "don't wait", "okay", "affirm", "what is next", "go ahead"):
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
