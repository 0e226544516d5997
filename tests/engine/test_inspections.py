"""An inspector looks at the work of a step before it is done. Common practice, no source."""

from collections.abc import Callable
from datetime import timedelta

import pytest

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
from handsfree.engine.events import Event, HearingLost
from tests.engine.people_task import (
    INES,
    INSPECTED,
    SEFA,
    STATES,
    TARN,
    TO_LOCK,
    TO_TORQUE,
    Crewed,
    at,
)


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


def test_inspected_that_is_offered_is_said_twice_for_no_affirm_follows() -> None:
    run = at(*TO_LOCK, "lock tied", INES, "affirm")
    for _ in range(3):
        run.hear("inspected", score=0.9)
    assert "affirm" not in run.answer
    assert run.hear("inspected", score=0.9).step == "lock"
    assert run.hear("inspected", score=0.9).step == "torque"


def test_inspected_by_another_headset_is_no_hearing_of_the_inspector() -> None:
    run = at(*TO_LOCK, "lock tied", INES, "affirm")
    for _ in range(3):
        run.hear("inspected", score=0.93, channel=1)
    assert run.hear("inspected", score=0.93, channel=3).step == "lock"
    assert run.hear("inspected", score=0.93, channel=1).step == "lock"


INTERRUPTIONS: dict[str, Callable[[Crewed], Crewed]] = {
    "nobody answers": lambda run: run.silence().silence().say("go ahead"),
    "hearing is lost": lambda run: _send(run, HearingLost("gone")).say("go ahead"),
    "hearing is lost for long": (
        lambda run: (
            _send(run, HearingLost("gone"))
            .after(timedelta(minutes=11))
            .say("go ahead", *["affirm"] * STATES)
        )
    ),
    "the program ends": (
        lambda run: run.taken_up().say(TARN, "affirm", SEFA, "affirm", *["affirm"] * STATES)
    ),
}


@pytest.mark.parametrize("interruption", INTERRUPTIONS)
def test_rejected_work_leads_to_its_rework_whatever_comes_between(interruption: str) -> None:
    """Else what was rejected would only be measured once more, with the rework passed over."""
    run = at(*TO_TORQUE, "one five", "affirm", INES, "affirm", "rejected")
    INTERRUPTIONS[interruption](run)
    assert run.answer.endswith("Step seven is not done. Say why.")
    assert run.say("it turns").step == "torque-again"


def _send(run: Crewed, event: Event) -> Crewed:
    run.send(event)
    run.finish_speaking()
    return run
