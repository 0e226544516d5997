"""After an interruption, go back some steps, and trust no state or time that nobody watched.

CAP 716, Aviation Maintenance Human Factors, and ICAO Doc 9824, Human Factors Guidelines for
Aircraft Maintenance, both from memory; how long and how many steps is common practice, no source.
"""

from datetime import timedelta

import pytest

from handsfree.engine.advance import UnexpectedEvent, advance, before_start
from handsfree.engine.effects import Say, Speech
from handsfree.engine.entries import (
    FindingOpened,
    NotHeeded,
    Remarked,
    StateAffirmed,
    StateDiffers,
    StepBegun,
    StepLeft,
    StoodBy,
    TimesVoid,
    WentOn,
)
from handsfree.engine.events import HearingLost, SilenceFor, TakenUp
from handsfree.engine.interrupting import LONG_INTERRUPTION
from handsfree.engine.phase import Phase
from handsfree.task.read import read_task
from tests.engine.conversation import Conversation, heard
from tests.engine.people_task import (
    AGREED,
    STATES,
    TASK,
    TO_CLOSE,
    TO_COVER,
    TO_FIRST,
    TO_PART,
    Crewed,
    at,
)
from tests.task.faults import step, task

LONG = LONG_INTERRUPTION + timedelta(seconds=1)


def test_after_a_short_time_work_goes_on_at_once() -> None:
    run = at(*TO_CLOSE, "stand by").after(LONG_INTERRUPTION).say("go ahead")
    assert run.did == [WentOn, StepBegun, Speech.READ_BACK, Speech.INSTRUCTION, Speech.NOTICE]


def test_after_a_long_time_three_steps_are_said_and_each_state_is_confirmed() -> None:
    run = at(*TO_CLOSE, "stand by").after(LONG).say("go ahead")
    assert run.did == [
        WentOn,
        Speech.READ_BACK,
        Speech.NOTICE,
        Speech.NOTICE,
        Speech.NOTICE,
        Speech.QUESTION,
    ]
    assert run.say("affirm").did == [StateAffirmed, Speech.QUESTION]
    assert run.say("valve shut").step == "close-valve"
    assert run.say("affirm", "affirm").did == [
        StateAffirmed,
        StepBegun,
        Speech.INSTRUCTION,
        Speech.NOTICE,
    ]


@pytest.mark.parametrize("said", [AGREED, ("go ahead",), ("affirm", "olan ahl", "go ahead")])
def test_a_deferral_that_took_long_was_an_interruption_too(said: tuple[str, ...]) -> None:
    run = at(*TO_COVER, "unable", "the hinge is bent", "part").after(LONG).say(*said)
    assert run.did[-1] is Speech.QUESTION
    assert run.state.resumption.checks == tuple(run.task.states)


def test_a_state_that_is_not_as_recorded_opens_a_finding_and_holds_the_work() -> None:
    run = at(*TO_CLOSE, "stand by").after(LONG).say("go ahead", "affirm", "negative")
    assert StateDiffers("valve", "open", ("open-valve", "pressure")) in run.written
    assert run.did == [StateDiffers, FindingOpened, StoodBy, Speech.READ_BACK]
    run.say("go ahead")
    assert run.did == [WentOn, Speech.READ_BACK, Speech.QUESTION]
    assert run.say(*("affirm",) * STATES).step == "close-valve"
    assert len(run.state.findings.open) == 1


def test_a_state_that_is_not_as_recorded_undoes_what_set_it_and_what_needed_it_so() -> None:
    """The pressure was read and the part number too, which rest on no pin."""
    run = at(*TO_PART, "stand by").after(LONG).say("go ahead", "negative")
    assert StateDiffers("pin", "fitted", ("fit-pin", "open-valve", "close-valve")) in run.written


def test_a_state_that_no_step_has_set_undoes_what_needed_it() -> None:
    text = task(
        step("look"),
        step("work", "needs: {pin: fitted}"),
        step("feel"),
        step("pull", "sets: {pin: removed}"),
        step("fit", "sets: {pin: fitted}"),
    )
    run = Conversation(read_task(text, "t.yaml")).start().say("look done", "work done")
    run.say("hand over", "go ahead", "negative")
    assert StateDiffers("pin", "fitted", ("work",)) in run.written


def test_states_are_confirmed_from_the_first_again_where_the_task_stood_by_among_them() -> None:
    run = at(*TO_CLOSE, "stand by").after(LONG).say("go ahead", "affirm", "stand by", "go ahead")
    assert run.did == [WentOn, Speech.READ_BACK, Speech.QUESTION]
    assert run.say(*("affirm",) * STATES).step == "close-valve"


def test_an_affirm_of_a_state_must_be_heard_very_surely() -> None:
    run = at(*TO_CLOSE, "stand by").after(LONG).say("go ahead").hear("affirm", score=0.93)
    assert run.state.resumption.checks[0] == "pin"


def test_the_reason_to_stand_by_is_kept_and_the_talk_after_it_is_not() -> None:
    run = at(*TO_FIRST, "stand by", "the fuel truck is here")
    assert Remarked("fit-pin", "stand by", "the fuel truck is here") in run.written
    run.say("one more thing")
    assert [type(each) for each in run.written] == [NotHeeded]


def test_silence_is_asked_into_and_then_stood_by() -> None:
    run = at(*TO_FIRST).silence()
    assert run.did == [Speech.QUESTION]
    run.silence()
    assert run.written == [StoodBy("fit-pin", "nobody answered, twice for 30 s")]
    assert run.silence().did == [Speech.READ_BACK]


def test_an_answer_ends_the_silence() -> None:
    assert at(*TO_FIRST).silence().say("say again").silence().did == [Speech.QUESTION]


def test_silence_while_the_tool_speaks_is_a_mistake_of_the_shell() -> None:
    with pytest.raises(UnexpectedEvent, match="nobody was listened to"):
        advance(TASK, before_start(TASK), SilenceFor(timedelta(seconds=1), timedelta(0)))


def test_after_the_program_ended_people_and_states_and_times_are_in_doubt() -> None:
    run = at(*TO_CLOSE).taken_up()
    assert TimesVoid(("open-valve",)) in run.written
    assert run.did == [
        TimesVoid,
        Speech.NOTICE,
        Speech.NOTICE,
        Speech.NOTICE,
        Speech.NOTICE,
        Speech.NOTICE,
        Speech.QUESTION,
    ]
    assert run.state.crew.present == ()
    run.say(*TO_FIRST, *("affirm",) * STATES)
    assert run.step == "close-valve"
    # The valve was open within its hour by the running time, which stood still in between.
    run.say("valve shut")
    assert run.did == [StepLeft, StepBegun, Speech.READ_BACK, Speech.WARNING, Speech.INSTRUCTION]
    assert run.say("valve open", *TO_CLOSE[6:], "valve shut").step == "part"


TIMED = """\
task: valve
title: Read a pressure in time
revision: "1"
approved_data: {reference: QX 1, revision: "2"}
applicability: {aircraft: Any 1, component: valve}
steps:
  - id: open-valve
    instruction: Open the valve.
    expect: {confirm: valve open}
  - id: warm
    instruction: Read the temperature.
    expect: {reading: temperature, unit: degC, resolution: 1, limits: {min: 0, max: 40}}
  - id: cap
    instruction: Fit the cap.
    expect: {confirm: cap fitted}
    wait: {since: warm, at_least: 1 s}
  - id: pressure
    instruction: Read the pressure.
    expect:
      reading: pressure
      unit: psi
      resolution: 10
      limits: {over: warm, table: [{at: 0, min: 100, max: 200}, {at: 40, min: 100, max: 200}]}
    wait: {since: open-valve, at_most: 1 h}
    then: {late: open-valve}
"""


def test_only_a_time_that_can_run_out_is_void_after_the_program_ended() -> None:
    """What was read, and what was waited for at least so long, holds all the same."""
    run = Conversation(read_task(TIMED, "t.yaml")).start()
    for words, seconds in (("valve open", 1), ("two zero", 2), ("affirm", 3), ("cap fitted", 9)):
        run.send(heard(words, at=timedelta(seconds=seconds)))
        run.finish_speaking()
    assert run.step == "pressure"
    run.send(TakenUp(timedelta(seconds=9)))
    assert [each for each in run.written if isinstance(each, TimesVoid)] == [
        TimesVoid(("open-valve",))
    ]
    assert [each.void for each in run.state.past] == [(), *[("open-valve",)] * 3]


def test_a_void_time_stays_void_where_the_run_goes_back_to() -> None:
    run = at(*TO_PART).taken_up().say(*TO_FIRST, *("affirm",) * STATES)
    assert run.say("back to step four", "affirm").step == "close-valve"
    assert run.say("valve shut").did == [
        StepLeft,
        StepBegun,
        Speech.READ_BACK,
        Speech.WARNING,
        Speech.INSTRUCTION,
    ]


def test_a_task_that_has_not_begun_is_not_taken_up() -> None:
    with pytest.raises(UnexpectedEvent, match="has not begun"):
        advance(TASK, before_start(TASK), TakenUp(timedelta(0)))


LAST_DEFERRED = """\
task: cover
title: Fit a cover
revision: "1"
approved_data: {reference: QX 1, revision: "2"}
applicability: {aircraft: Any 1, component: cover}
states:
  pin: {called: safety pin, values: [fitted, removed], start: fitted, end: fitted}
steps:
  - id: cover
    instruction: Fit the cover.
    expect: {confirm: cover fitted}
    deferral: {authority: maintenance control}
"""


def test_states_are_confirmed_also_after_the_last_step_was_deferred_late() -> None:
    run = Crewed(read_task(LAST_DEFERRED, "cover.yaml"), with_roster=False)
    run.say("unable", "the hinge is bent", "part", *AGREED[:3]).after(LONG).say("affirm")
    assert run.state.phase is Phase.CHECKING_STATES
    run.say("where am i")
    assert run.answer.startswith("Step one of one")
    lost = advance(run.task, run.state, HearingLost("the microphone has gone"))[1]
    assert any(isinstance(each, Say) and "Step one waits" in each.text for each in lost)
    run.hear("mumble", score=0.2).say("affirm")
    assert run.finished
