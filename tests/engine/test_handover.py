"""Where a task stands is told whole to whoever takes it over, and in short to whoever asks.

EASA Part-145, 145.A.47(c), with its AMC, from memory: what is to be handed over is communicated.
"""

from datetime import timedelta

from handsfree.engine import wording
from handsfree.engine.effects import Speech
from handsfree.engine.entries import HandedOver, PersonIdentified, StoodBy, WentOn
from handsfree.task.roles import Role
from tests.engine.people_task import (
    AGREED,
    SEFA,
    STATES,
    TARN,
    TASK,
    TO_CLOSE,
    TO_COVER,
    TO_END,
    TO_PRESSURE,
    TODAY,
    at,
)


def test_a_handover_says_and_writes_all_that_the_next_one_must_know() -> None:
    run = at(*TO_COVER, "unable", "the hinge is bent", "part", *AGREED, "hand over")
    handed = next(each for each in run.written if isinstance(each, HandedOver))
    assert handed.by == "OA417"
    assert handed.step == "remove-pin"
    assert handed.done[-1] == "torque"
    assert handed.not_done == ("cover",)
    assert [each.remark for each in handed.open_findings] == ["the hinge is bent"]
    assert run.did == [
        HandedOver,
        StoodBy,
        Speech.NOTICE,
        Speech.NOTICE,
        Speech.NOTICE,
        Speech.NOTICE,
    ]


def test_past_the_last_step_a_summary_tells_of_no_next_one() -> None:
    """The last step was deferred after a long wait, and states are still to be confirmed."""
    past = at(*TO_END[:-1]).state.at_step(len(TASK.steps))
    (first, *_) = wording.interruptions.summary(TASK, past)
    assert first.text == "Steps done: eight. No step is left."


def test_the_incoming_person_is_identified_hears_the_summary_and_confirms_each_state() -> None:
    run = at(*TO_CLOSE, "hand over", "go ahead")
    assert run.did == [WentOn, Speech.READ_BACK, Speech.QUESTION]
    run.say(SEFA, "affirm", TARN, "affirm")
    assert run.did == [
        PersonIdentified,
        Speech.READ_BACK,
        Speech.NOTICE,
        Speech.NOTICE,
        Speech.QUESTION,
    ]
    run.say(*("affirm",) * STATES)
    assert run.say("valve shut").step == "part"
    assert run.state.crew.number_of(Role.TECHNICIAN) == "OA522"


def test_a_handover_goes_on_from_the_record_on_another_day() -> None:
    run = at(*TO_CLOSE, "hand over").taken_up(TODAY + timedelta(days=1))
    run.say(SEFA, "affirm", TARN, "affirm")
    assert run.did == [
        PersonIdentified,
        Speech.READ_BACK,
        Speech.NOTICE,
        Speech.NOTICE,
        Speech.QUESTION,
    ]


def test_where_am_i_is_one_short_sentence() -> None:
    run = at(*TO_PRESSURE).after(timedelta(minutes=3, seconds=20)).say("where am i")
    assert run.did == [Speech.READ_BACK]
    assert run.say("one five zero zero", "where am i").did == [Speech.READ_BACK]
