"""An inspector looks at the work of a step before it is done. Common practice, no source."""

from handsfree.engine.effects import Speech
from handsfree.engine.entries import (
    InspectionPassed,
    InspectionRejected,
    NotHeeded,
    PersonIdentified,
    Remarked,
    StepBegun,
    StepConfirmed,
    StepLeft,
)
from tests.engine.people_task import INES, INSPECTED, TO_LOCK, TO_TORQUE, at


def test_the_inspector_hears_what_to_look_at_and_the_value() -> None:
    run = at(*TO_TORQUE, "one five", "affirm", INES, "affirm")
    assert run.did == [PersonIdentified, Speech.READ_BACK, Speech.INSTRUCTION, Speech.QUESTION]
    assert "torque" not in dict(run.state.readings)


def test_inspected_does_the_step() -> None:
    run = at(*TO_LOCK, "lock tied", *INSPECTED)
    assert run.written[:2] == [
        InspectionPassed("lock", "OA633"),
        StepConfirmed("lock", "lock tied", (), (("ties", 1),)),
    ]
    assert dict(run.state.counts) == {"ties": 1}


def test_rejected_asks_why_and_the_step_is_done_again() -> None:
    run = at(*TO_LOCK, "lock tied", INES, "affirm", "rejected")
    assert InspectionRejected("lock", "OA633") in run.written
    run.say("the tie is loose")
    assert Remarked("lock", "rejected", "the tie is loose") in run.written
    assert run.did == [Remarked, StepBegun, Speech.READ_BACK, Speech.INSTRUCTION]
    assert dict(run.state.counts) == {"ties": 0}


def test_rejected_leads_to_where_the_task_says() -> None:
    run = at(*TO_TORQUE, "one five", "affirm", INES, "affirm", "rejected", "it turns")
    assert any(isinstance(each, StepLeft) for each in run.written)
    assert run.step == "torque-again"


def test_the_technician_does_not_say_inspected() -> None:
    run = at(*TO_LOCK, "lock tied", INES, "affirm").hear("inspected", channel=1)
    assert run.did == [NotHeeded, Speech.QUESTION]
    assert run.step == "lock"


def test_inspected_is_believed_only_where_it_was_heard_very_surely() -> None:
    run = at(*TO_LOCK, "lock tied", INES, "affirm").hear("inspected", score=0.93)
    assert run.step == "lock"
