"""Each says who they are before work begins, and may do what they do.

All texts are cited from memory: 14 CFR 43.9(a)(3), the name of the person who did the work; EASA
Part-145, 145.A.48 (error capturing, critical tasks) with its AMC. Where a test names none, it is
common practice, no source.
"""

from datetime import timedelta

import pytest

from handsfree.engine.advance import UnexpectedEvent, advance, before_start
from handsfree.engine.effects import Speech
from handsfree.engine.entries import NotHeeded, PersonIdentified, PersonRefused, TaskBegun
from handsfree.engine.events import Started
from handsfree.engine.phase import Phase
from handsfree.task.roles import Role
from tests.engine.people_task import (
    ADA,
    INES,
    OLAN,
    SEFA,
    STATES,
    TARN,
    TASK,
    TO_LOCK,
    TO_TORQUE,
    Crewed,
    at,
)


def test_each_says_their_staff_number_which_is_read_back_and_affirmed() -> None:
    run = Crewed()
    assert run.did == [TaskBegun, Speech.NOTICE, Speech.NOTICE, Speech.QUESTION]
    run.say(TARN)
    assert run.did == [Speech.READ_BACK, Speech.QUESTION]
    run.say("affirm")
    assert run.written == [PersonIdentified(Role.TECHNICIAN, "OA417", "Tarn Osk")]
    assert run.did == [PersonIdentified, Speech.READ_BACK, Speech.QUESTION]
    assert run.say(SEFA, "affirm").step == "fit-pin"


def test_no_work_begins_before_the_people_are_known() -> None:
    run = Crewed().say("pin fitted", "affirm", "go ahead")
    assert run.state.phase is Phase.IDENTIFYING
    assert run.state.done == ()


def test_the_same_person_is_not_technician_and_second_person() -> None:
    """145.A.48, from memory: an error on a critical task is captured by somebody else."""
    run = at(TARN, "affirm", TARN)
    assert run.did == [PersonRefused, Speech.READ_BACK, Speech.QUESTION]
    assert isinstance(run.written[0], PersonRefused)


@pytest.mark.parametrize("inspector", [TARN, SEFA, OLAN, "oscar alfa niner"])
def test_nobody_inspects_who_may_not(inspector: str) -> None:
    run = at(*TO_LOCK, "lock tied", inspector)
    assert run.state.phase is Phase.IDENTIFYING
    assert isinstance(run.written[0], PersonRefused)


def test_the_technician_does_not_inspect_their_own_step_even_where_authorised() -> None:
    """AMC to 145.A.48, from memory: an independent inspection is by one who did not do it."""
    run = at(ADA, "affirm", SEFA, "affirm", *TO_LOCK[4:], "lock tied", ADA)
    assert run.did == [PersonRefused, Speech.READ_BACK, Speech.QUESTION]


def test_an_expired_authorisation_is_said_and_refused() -> None:
    run = at(*TO_LOCK, "lock tied", OLAN)
    assert run.did == [PersonRefused, Speech.READ_BACK, Speech.QUESTION]


def test_an_authorisation_holds_on_its_last_day_and_not_on_the_next() -> None:
    assert at(TARN, "affirm", OLAN).did == [Speech.READ_BACK, Speech.QUESTION]
    midnight = Crewed().say(TARN, "affirm").after(timedelta(hours=12)).say(OLAN)
    assert midnight.did == [PersonRefused, Speech.READ_BACK, Speech.QUESTION]


def test_a_role_is_fixed_by_the_channel_of_its_headset() -> None:
    run = Crewed().hear(TARN, channel=2)
    assert run.did == [NotHeeded, Speech.QUESTION]
    assert run.hear(TARN, channel=1).state.phase is Phase.IDENTITY_HEARD


def test_nobody_affirms_for_somebody_else_who_they_are() -> None:
    run = at(*TO_LOCK, "lock tied").hear(INES, channel=3).hear("affirm", channel=1)
    assert run.did == [NotHeeded, Speech.QUESTION]
    assert run.state.phase is Phase.IDENTITY_HEARD
    assert run.hear("affirm", channel=3).state.phase is Phase.INSPECTING


def test_whoever_affirmed_a_value_that_another_one_read_does_not_inspect_it_later() -> None:
    """The second person may read out a value; the technician who affirms it answers for it."""
    run = at(ADA, "affirm", SEFA, "affirm", *TO_TORQUE[4:])
    run.hear("one five", channel=2).hear("affirm", channel=1)
    run.taken_up().say(TARN, "affirm", SEFA, "affirm", *["affirm"] * STATES, "one five", "affirm")
    assert isinstance(run.say(ADA).written[0], PersonRefused)


def test_without_a_roster_a_task_with_an_inspection_is_not_started() -> None:
    with pytest.raises(UnexpectedEvent, match="needs a roster"):
        advance(TASK, before_start(TASK), Started())


def test_a_number_that_is_corrected_in_doubt_is_nobodys() -> None:
    run = Crewed().say(TARN).hear(f"correction {SEFA}", 0.5)
    assert run.state.phase is Phase.IDENTIFYING
    assert [type(each) for each in run.written] == [NotHeeded]
    assert run.say("affirm").state.crew.present == ()
