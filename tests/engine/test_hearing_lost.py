"""Microphone or voice goes: the task waits, and a value that waited is taken back."""

from datetime import timedelta

import pytest

from handsfree.engine.advance import UnexpectedEvent, before_start
from handsfree.engine.effects import Say, Write
from handsfree.engine.entries import StoodBy
from handsfree.engine.events import HearingLost, HearingReturned, VoiceLost
from handsfree.engine.interrupting import LONG_INTERRUPTION
from handsfree.engine.state import Phase
from tests.engine.conversation import TASK, Conversation, heard
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


def test_what_was_not_heard_is_told_and_written_and_the_step_waits() -> None:
    run = Conversation().start()
    run.send(UNHEARD)
    assert run.state.phase is Phase.STANDING_BY
    assert said(run) == [
        "I was not heard: the speech engine failed. Step one waits. "
        "Read what is printed, then say go ahead."
    ]
    assert Write(StoodBy("fit-pin", "could not speak: the speech engine failed")) in run.last


def test_a_step_whose_warning_was_not_heard_is_not_confirmed_before_it_was_said_again() -> None:
    run = Conversation().start()
    run.send(UNHEARD)
    run.finish_speaking()
    run.send(heard("pin fitted"))
    assert not run.state.done
    run.send(heard("go ahead"))
    assert "Warning. The door can move." in said(run)
    run.finish_speaking()
    run.send(heard("pin fitted"))
    assert run.state.done == ("fit-pin",)


def test_a_verdict_that_was_not_heard_cannot_be_affirmed() -> None:
    run = Conversation().start()
    for words in ("pin fitted", "one five"):
        run.send(heard(words))
        run.finish_speaking()
    run.send(UNHEARD)
    run.finish_speaking()
    for words in ("affirm", "go ahead", "affirm"):
        run.send(heard(words))
        if run.state.speaking:
            run.finish_speaking()
    assert run.state.readings == ()


def test_the_voice_cannot_be_lost_while_nobody_listens() -> None:
    run = Conversation()
    with pytest.raises(UnexpectedEvent, match="nothing was said"):
        run.send(UNHEARD)
    assert run.state == before_start(TASK)
