"""Microphone or voice goes: the task waits, and a value that waited is taken back."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from handsfree.engine.advance import UnexpectedEvent, before_start
from handsfree.engine.effects import Say, Write
from handsfree.engine.entries import StoodBy
from handsfree.engine.events import HearingLost, HearingReturned, Started, VoiceLost
from handsfree.engine.interrupting import LONG_INTERRUPTION
from handsfree.engine.phase import Phase
from tests.engine.conversation import TASK, TO_END, Conversation, heard
from tests.engine.people_task import TO_CLOSE, at

LOST = HearingLost("the microphone has gone")


def said(run: Conversation) -> list[str]:
    return [each.text for each in run.last if isinstance(each, Say)]


def test_the_step_waits_and_the_reason_is_said_and_written() -> None:
    run = Conversation().start()
    run.send(LOST)
    assert run.state.phase is Phase.STANDING_BY
    assert said(run) == [
        "I could not hear: the microphone has gone. Step one waits. "
        "Say go ahead when you are ready."
    ]
    assert Write(StoodBy("fit-pin", "could not hear: the microphone has gone")) in run.last


def test_a_value_that_waited_for_affirm_is_taken_back() -> None:
    run = Conversation().start()
    for words in ("pin fitted", "one five"):
        run.send(heard(words))
        run.finish_speaking()
    assert run.state.phase is Phase.CONFIRMING
    run.send(LOST)
    run.finish_speaking()
    assert run.state.pending is None
    run.send(heard("go ahead"))
    run.finish_speaking()
    run.send(heard("affirm"))
    assert run.state.readings == ()


def test_when_the_microphone_is_back_the_task_still_waits_for_go_ahead() -> None:
    run = Conversation().start()
    run.send(LOST)
    run.finish_speaking()
    run.send(HearingReturned())
    assert said(run) == ["I can hear again. Say go ahead to go on."]
    assert run.state.phase is Phase.STANDING_BY


def test_a_return_without_a_loss_is_a_mistake_of_the_shell() -> None:
    run = Conversation().start()
    with pytest.raises(UnexpectedEvent, match="was not lost"):
        run.send(HearingReturned())


def test_nothing_is_lost_before_the_start_or_while_speaking() -> None:
    run = Conversation()
    assert run.state == before_start(TASK)
    with pytest.raises(UnexpectedEvent, match="nothing is listened for"):
        run.send(LOST)
    assert run.state == before_start(TASK)


def test_whoever_stood_by_before_the_loss_has_been_away_since_then() -> None:
    run = at(*TO_CLOSE, "stand by").after(LONG_INTERRUPTION / 2)
    run.hear("somebody talks")
    run.send(LOST)
    run.finish_speaking()
    run.after(LONG_INTERRUPTION / 2 + timedelta(seconds=1)).say("go ahead")
    assert run.state.phase is Phase.CHECKING_STATES


# The voice.

UNHEARD = VoiceLost("the speech engine failed")


def unheard(*utterances: str) -> Conversation:
    """What the tool says after the last of these is not heard."""
    run = Conversation()
    run.send(Started())
    for words in utterances:
        run.finish_speaking()
        run.send(heard(words))
    run.send(UNHEARD)
    return run


def test_what_was_not_heard_is_told_and_written_and_the_step_waits() -> None:
    run = unheard()
    assert run.state.phase is Phase.STANDING_BY
    assert said(run) == [
        "I was not heard: the speech engine failed. Step one waits. "
        "Read what is shown, then say go ahead."
    ]
    assert Write(StoodBy("fit-pin", "could not speak: the speech engine failed")) in run.last


def test_a_step_whose_warning_was_not_heard_is_not_confirmed_before_it_was_said_again() -> None:
    run = unheard().finish_speaking().say("pin fitted")
    assert not run.state.done
    run.send(heard("go ahead"))
    assert "Warning. The door can move." in said(run)
    run.finish_speaking().say("pin fitted")
    assert run.state.done == ("fit-pin",)


def test_a_verdict_that_was_not_heard_cannot_be_affirmed() -> None:
    run = unheard("pin fitted", "one five")
    assert run.finish_speaking().say("affirm", "go ahead", "affirm").state.readings == ()


def test_a_step_that_is_only_said_is_not_done_where_nobody_heard_it() -> None:
    """No answer comes after it, so nothing else could find out."""
    run = unheard("pin fitted").finish_speaking()
    assert run.step == "wait"
    assert "The bottle takes the temperature of the air." in run.say("go ahead").answer
    assert run.step == "temperature"


def test_a_loss_is_told_once_for_what_tells_it_is_not_heard_either() -> None:
    run = unheard()
    run.send(UNHEARD)
    assert not said(run)
    assert run.listens
    run.send(heard("go ahead"))
    run.send(UNHEARD)
    assert said(run)[0].startswith("I was not heard")


def test_a_finished_task_is_finished_though_its_end_was_not_heard() -> None:
    assert unheard(*TO_END, "pin removed").finished


def test_the_voice_cannot_be_lost_while_nothing_is_said() -> None:
    run = Conversation()
    with pytest.raises(UnexpectedEvent, match="nothing was being said"):
        run.send(UNHEARD)
    assert run.state == before_start(TASK)


@given(st.lists(st.tuples(st.sampled_from((*TO_END, "go ahead", "say again")), st.booleans())))
def test_nothing_is_done_or_taken_between_a_loss_of_the_voice_and_go_ahead(
    turns: list[tuple[str, bool]],
) -> None:
    run = Conversation()
    run.send(Started())
    waits_with = None
    for words, is_lost in turns:
        if run.state.speaking and is_lost:
            run.send(UNHEARD)
            waits_with = (run.state.done, run.state.readings)
        run.finish_speaking()
        if words == "go ahead":
            waits_with = None
        run.send(heard(words))
        assert waits_with in (None, (run.state.done, run.state.readings))
