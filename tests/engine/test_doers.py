"""Whose word the work of a step needs, told by headset.

EASA 145.A.48, from memory: an error-capturing method needs somebody else than who did the work.
So a word of the wrong headset is not taken for the technician's.
"""

from datetime import timedelta

import pytest

from handsfree.engine.effects import Speech
from handsfree.engine.entries import NotActedOn, NotHeeded, PersonRefused, StepBegun, StepConfirmed
from handsfree.engine.events import Started
from handsfree.engine.phase import Phase
from handsfree.task.read import read_task
from handsfree.words.heard import Heard
from tests.engine.conversation import BOTTLE, Conversation
from tests.engine.people_task import (
    ADA,
    INES,
    SEFA,
    STATES,
    TARN,
    TO_CLOSE,
    TO_FIRST,
    TO_PRESSURE,
    TO_TORQUE,
    VALVE,
    Crewed,
    at,
)

BY_SECOND = VALVE.replace(
    "expect: {confirm: valve shut}", "expect: {confirm: valve shut}\n    by: second person"
)


@pytest.mark.parametrize("channel", [2, 3])
def test_only_the_technician_confirms_a_step_where_a_roster_tells_who_is_who(channel: int) -> None:
    run = at(*TO_FIRST).hear("pin fitted", channel=channel)
    assert run.written == [NotHeeded("fit-pin", ("pin", "fitted"), NotActedOn.ANOTHER_PERSON)]
    assert run.did == [NotHeeded, Speech.QUESTION]
    assert run.hear("pin fitted", channel=1).step == "open-valve"


def test_without_a_roster_whoever_speaks_may_confirm() -> None:
    run = Conversation(read_task(BOTTLE, "bottle.yaml"))
    run.send(Started())
    run.finish_speaking()
    run.send(Heard(("pin", "fitted"), 1.0, (), (), timedelta(0), timedelta(0), channel=2))
    assert [type(each) for each in run.written] == [StepConfirmed, StepBegun]


@pytest.mark.parametrize("channel", [2, 3])
def test_only_the_technician_affirms_a_value(channel: int) -> None:
    run = at(*TO_PRESSURE, "one five zero zero", "second one five zero zero")
    assert run.hear("affirm", channel=channel).state.phase is Phase.CONFIRMING
    assert run.hear("affirm", channel=1).step == "close-valve"


@pytest.mark.parametrize("channel", [1, 2, 3])
def test_anybody_may_say_that_a_value_is_wrong(channel: int) -> None:
    run = at(*TO_PRESSURE, "one five zero zero", "second one five zero zero")
    assert run.hear("negative", channel=channel).state.phase is Phase.ANSWERING


def test_a_task_may_ask_for_the_second_person() -> None:
    run = Crewed(read_task(BY_SECOND, "valve.yaml")).say(*TO_CLOSE)
    assert run.hear("valve shut", channel=1).step == "close-valve"
    assert run.answer == "This is for the second person. Second person, speak."
    assert run.hear("valve shut", channel=2).step == "part"


PLAIN = VALVE.replace("    read_back: true\n", "")


def test_the_second_person_may_read_a_value_out_and_the_technician_affirms_it() -> None:
    """A gauge out of the technician's sight is read by who stands before it."""
    run = Crewed(read_task(PLAIN, "valve.yaml")).say(TARN, "affirm", "pin fitted", "valve open")
    run.hear("one five zero zero", channel=2)
    assert run.hear("affirm", channel=2).answer == "This is for the technician. Technician, speak."
    assert run.hear("affirm", channel=1).step == "close-valve"


def test_where_the_task_says_by_whom_nobody_else_reads_the_value_out() -> None:
    text = PLAIN.replace("needs: {valve: open}\n", "needs: {valve: open}\n    by: technician\n")
    run = Crewed(read_task(text, "valve.yaml")).say(TARN, "affirm", "pin fitted", "valve open")
    assert run.hear("one five zero zero", channel=2).state.phase is Phase.ANSWERING
    assert run.hear("one five zero zero", channel=1).state.phase is Phase.CONFIRMING


def test_an_inspector_states_no_value_of_the_work_that_they_are_to_inspect() -> None:
    run = at(*TO_TORQUE).hear("one five", channel=3)
    assert run.state.phase is Phase.ANSWERING
    assert run.did == [NotHeeded, Speech.QUESTION]


def refused_as_inspector(run: Crewed, number: str) -> bool:
    return PersonRefused in run.say(number).did


@pytest.mark.parametrize(("channel", "is_refused"), [(2, True), (1, False)])
def test_who_only_read_the_value_of_a_step_out_cannot_inspect_it(
    channel: int, is_refused: bool
) -> None:
    run = at(TARN, "affirm", ADA, "affirm", *TO_TORQUE[4:]).hear("one five", channel=channel)
    run.hear("affirm", channel=1)
    assert refused_as_inspector(run, ADA) is is_refused


def test_who_did_a_rejected_step_cannot_inspect_it_once_somebody_else_did_it_again() -> None:
    """Ada tightens it first; Tarn, after the handover, again: Ada had a hand in it all the same."""
    run = at(ADA, "affirm", SEFA, "affirm", *TO_TORQUE[4:], "one five", "affirm")
    run.say(INES, "affirm", "rejected", "it is loose", "part", "cap loose")
    run.say("hand over", "go ahead", TARN, "affirm", SEFA, "affirm", *("affirm",) * STATES)
    assert run.say("one five", "affirm").state.phase is Phase.IDENTIFYING
    assert refused_as_inspector(run, ADA)
    assert not refused_as_inspector(run, INES)
