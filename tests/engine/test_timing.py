"""A step that waits says so: how long, when it is time, and when it is too late.

Common practice, no source.
"""

from datetime import timedelta

import pytest

from handsfree.engine.advance import UnexpectedEvent
from handsfree.engine.effects import Listen, Say
from handsfree.engine.events import SilenceFor, TakenUp, TimeCame
from handsfree.engine.phase import Phase
from tests.engine.branching import TOO_LONG, WAITED, Branching
from tests.engine.test_branches import TO_PRESSURE, at

HALF_A_MINUTE = timedelta(seconds=30)


def until(run: Branching) -> timedelta | None:
    """What the shell is told to wait for, as it begins to listen."""
    found = [each.until for each in run.last if isinstance(each, Listen)]
    return found[-1]


def time_comes(run: Branching, now: timedelta) -> str:
    run.now = now
    run.send(TimeCame(now))
    said = " ".join(each.text for each in run.last if isinstance(each, Say))
    run.finish_speaking()
    return said


def silent(run: Branching) -> Branching:
    run.after(HALF_A_MINUTE)
    run.send(SilenceFor(HALF_A_MINUTE, run.now))
    if run.state.speaking:
        run.finish_speaking()
    return run


def test_how_long_to_wait_and_how_long_there_is_time_are_said_as_the_step_begins() -> None:
    assert at(*TO_PRESSURE).answer.endswith(
        "Wait two minutes before you report. Report within one hour."
    )


def test_say_again_does_not_repeat_a_time_that_is_no_longer_true() -> None:
    run = at(*TO_PRESSURE).after(HALF_A_MINUTE).say("say again")
    assert run.answer == "Step six. Read the pressure."


def test_where_am_i_tells_the_time_that_is_left() -> None:
    run = at(*TO_PRESSURE).after(HALF_A_MINUTE).say("where am i")
    assert run.answer.endswith(
        "Wait one minute three zero seconds before you report. "
        "Report within five niner minutes three zero seconds."
    )
    assert (
        run.after(WAITED)
        .say("where am i")
        .answer.endswith("Report within five seven minutes three zero seconds.")
    )


def test_the_end_of_the_wait_is_told_and_then_the_end_of_the_time() -> None:
    run = at(*TO_PRESSURE)
    assert until(run) == WAITED
    assert time_comes(run, WAITED) == "The wait is over. Report pressure in p s i."
    assert until(run) == timedelta(hours=1)
    assert time_comes(run, timedelta(hours=1)) == (
        "The time for this is over. What you report now is too late."
    )
    assert until(run) is None


def test_two_times_that_came_at_once_tell_of_the_later_one() -> None:
    """A computer that slept through both."""
    run = at(*TO_PRESSURE)
    assert time_comes(run, TOO_LONG).startswith("The time for this is over.")


def test_nobody_is_asked_into_the_silence_of_a_wait_and_after_it_as_ever() -> None:
    run = at(*TO_PRESSURE)
    for _ in range(3):
        silent(run)
        assert run.state.phase is Phase.ANSWERING
        assert not [each for each in run.last if isinstance(each, Say)]
        assert until(run) == WAITED
    time_comes(run, WAITED)
    assert silent(run).answer == "Are you there?"
    assert silent(run).state.phase is Phase.STANDING_BY


def test_no_time_is_told_while_a_value_is_in_question() -> None:
    run = at(*TO_PRESSURE).after(WAITED).say("one five zero")
    assert run.state.phase is Phase.CONFIRMING
    assert until(run) is None
    with pytest.raises(UnexpectedEvent, match="no time was to be told"):
        run.send(TimeCame(WAITED))


def test_a_step_that_does_not_wait_tells_no_time() -> None:
    run = at(*TO_PRESSURE[:-1])
    assert until(run) is None
    with pytest.raises(UnexpectedEvent):
        run.send(TimeCame(WAITED))


def test_a_time_that_is_void_is_over_and_no_time_is_promised() -> None:
    """What is reported then is too late: nobody knows how long the program was away."""
    run = at(*TO_PRESSURE).after(WAITED)
    run.send(TakenUp(run.now))
    run.finish_speaking().say(*["affirm"] * len(run.state.states))
    assert run.state.phase is Phase.ANSWERING
    assert run.say("where am i").answer.endswith("The time for this is over.")


@pytest.mark.parametrize(
    ("after", "is_late"),
    [(timedelta(hours=1), False), (timedelta(hours=1, microseconds=1), True)],
)
def test_at_the_very_end_of_its_time_an_answer_is_in_time(after: timedelta, is_late: bool) -> None:
    run = at(*TO_PRESSURE).after(after).say("one five zero")
    assert run.step == ("close-valve" if is_late else "pressure")
    assert (run.state.phase is Phase.CONFIRMING) is not is_late


@pytest.mark.parametrize(
    ("after", "is_early"), [(WAITED, False), (WAITED - timedelta(microseconds=1), True)]
)
def test_at_the_very_beginning_of_its_time_an_answer_is_not_too_early(
    after: timedelta, is_early: bool
) -> None:
    run = at(*TO_PRESSURE).after(after).say("one five zero")
    assert (run.state.phase is Phase.CONFIRMING) is not is_early


@pytest.mark.parametrize(
    ("after", "is_asked"), [(WAITED, True), (WAITED - timedelta(microseconds=1), False)]
)
def test_whoever_is_silent_is_asked_into_it_from_when_they_may_answer(
    after: timedelta, is_asked: bool
) -> None:
    run = at(*TO_PRESSURE).after(after)
    run.send(SilenceFor(HALF_A_MINUTE, run.now))
    assert any(isinstance(each, Say) for each in run.last) is is_asked
