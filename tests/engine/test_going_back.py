"""Going back says first what it undoes, and undoes all of it. Common practice, no source."""

import pytest

from handsfree.engine.effects import Speech
from handsfree.engine.entries import WentBack, WentOn
from tests.engine.people_task import (
    AGREED,
    STATES,
    TO_COVER,
    TO_END,
    TO_PART,
    TO_PRESSURE,
    TO_TORQUE,
    at,
)


def test_going_back_says_first_what_it_undoes_and_what_must_be_proved_anew() -> None:
    run = at(*TO_PART, "back to step one")
    assert run.did == [Speech.WARNING, Speech.NOTICE, Speech.QUESTION]
    assert run.step == "part"


def test_going_back_restores_states_counts_readings_and_times_together() -> None:
    run = at(*TO_TORQUE, "back to step three")
    before = at(*TO_PRESSURE).state
    assert run.did == [Speech.WARNING, Speech.NOTICE, Speech.NOTICE, Speech.NOTICE, Speech.QUESTION]
    run.say("affirm")
    assert (
        WentBack("pressure", ("pressure", "close-valve", "part", "lock"), before.states)
        in run.written
    )
    assert run.state.progress == before.progress
    assert run.say(*TO_END[6:]).finished


def test_negative_undoes_nothing_but_what_may_have_been_touched_is_confirmed() -> None:
    run = at(*TO_PART, "back to step three", "negative")
    assert run.did == [Speech.READ_BACK, Speech.QUESTION]
    assert run.say("affirm").step == "part"


def test_to_stand_by_while_going_back_leaves_every_state_to_be_confirmed() -> None:
    """Somebody may have begun to put things back, and been called away from it."""
    run = at(*TO_PART, "back to step three", "stand by", "go ahead")
    assert run.did == [WentOn, Speech.READ_BACK, Speech.QUESTION]
    assert run.state.resumption.checks == tuple(run.task.states)
    assert run.say(*("affirm",) * STATES).step == "part"


@pytest.mark.parametrize("number", ["five", "eight", "niner zero", "zero"])
def test_only_what_is_behind_can_be_gone_back_to(number: str) -> None:
    run = at(*TO_PART, f"back to step {number}")
    assert run.did == [Speech.READ_BACK]
    assert run.step == "part"


def test_a_finding_stays_open_where_the_run_goes_back_before_it() -> None:
    run = at(*TO_COVER, "unable", "the hinge is bent", "part", *AGREED, "back to step one")
    run.say("affirm")
    assert len(run.state.findings.open) == 1
