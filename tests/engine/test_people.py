"""Two people and an inspector: who they are, what each states, and what stops the work.

Each test names the text that its rule answers. All of them are cited from memory: EASA Part-145,
145.A.48 (error capturing, critical tasks) and 145.A.47(c) (handover of work) with their AMC;
CAP 716, Aviation Maintenance Human Factors; ICAO Doc 9824, Human Factors Guidelines for Aircraft
Maintenance; 14 CFR 43.9. Where none is named it is common practice, no source.
"""

from dataclasses import replace
from datetime import timedelta

import pytest

from handsfree.engine import wording_people
from handsfree.engine.advance import UnexpectedEvent, advance, before_start
from handsfree.engine.effects import Say, Write
from handsfree.engine.entries import (
    FindingClosed,
    FindingOpened,
    HandedOver,
    InspectionPassed,
    InspectionRejected,
    NotHeeded,
    PersonIdentified,
    PersonRefused,
    ReadingTaken,
    Remarked,
    SecondStated,
    StateDiffers,
    StatementsDiffer,
    StepConfirmed,
    StepLeft,
    StoodBy,
    TaskEnded,
    TimesVoid,
    WentBack,
)
from handsfree.engine.events import HearingLost, SilenceFor, Started, TakenUp
from handsfree.engine.findings import Category, Finding
from handsfree.engine.interrupting import LONG_INTERRUPTION
from handsfree.engine.state import Phase
from handsfree.task.read import read_task
from handsfree.task.roster import Role
from handsfree.words.heard import Heard, Opinion
from tests.engine.people_task import (
    ADA,
    INES,
    INSPECTED,
    OLAN,
    RUAN,
    SEFA,
    TARN,
    TASK,
    TO_CLOSE,
    TO_COVER,
    TO_END,
    TO_FIRST,
    TO_LOCK,
    TO_PART,
    TO_PRESSURE,
    TO_TORQUE,
    TODAY,
    Crewed,
    at,
)

LONG = LONG_INTERRUPTION + timedelta(seconds=1)
STATES = 3  # in the task, all of them known


# Who is here. 14 CFR 43.9(a)(3): the name of the person who did the work.


def test_each_says_their_staff_number_which_is_read_back_and_affirmed() -> None:
    run = Crewed()
    assert run.answer.endswith("Technician, say your staff number.")
    run.say(TARN)
    assert run.answer == "Staff number oscar alfa four one seven. Tarn Osk, technician. Affirm?"
    run.say("affirm")
    assert run.written == [PersonIdentified(Role.TECHNICIAN, "OA417", "Tarn Osk")]
    assert run.answer == "Tarn Osk, technician. Second person, say your staff number."
    assert run.say(SEFA, "affirm").step == "fit-pin"


def test_no_work_begins_before_the_people_are_known() -> None:
    run = Crewed().say("pin fitted", "affirm", "go ahead")
    assert run.state.phase is Phase.IDENTIFYING
    assert run.state.done == ()


def test_the_same_person_is_not_technician_and_second_person() -> None:
    """145.A.48, from memory: an error on a critical task is captured by somebody else."""
    run = at(TARN, "affirm", TARN)
    assert run.answer.startswith(
        "Staff number oscar alfa four one seven. "
        "Tarn Osk has another part in this and cannot be the second person too."
    )
    assert isinstance(run.written[0], PersonRefused)


@pytest.mark.parametrize("inspector", [TARN, SEFA, OLAN, "oscar alfa niner"])
def test_nobody_inspects_who_may_not(inspector: str) -> None:
    run = at(*TO_LOCK, "lock tied", inspector)
    assert run.state.phase is Phase.IDENTIFYING
    assert isinstance(run.written[0], PersonRefused)


def test_the_technician_does_not_inspect_their_own_step_even_where_authorised() -> None:
    """AMC to 145.A.48, from memory: an independent inspection is by one who did not do it."""
    run = at(ADA, "affirm", SEFA, "affirm", *TO_LOCK[4:], "lock tied", ADA)
    assert "Ada Quill has another part in this and cannot be the inspector too." in run.answer


def test_an_expired_authorisation_is_said_and_refused() -> None:
    run = at(*TO_LOCK, "lock tied", OLAN)
    assert (
        "The authorisation of Olan Brek as inspector expired on three May two zero three one."
        in run.answer
    )


def test_an_authorisation_holds_on_its_last_day_and_not_on_the_next() -> None:
    assert "Olan Brek, second person. Affirm?" in at(TARN, "affirm", OLAN).answer
    midnight = Crewed().say(TARN, "affirm").after(timedelta(hours=12)).say(OLAN)
    assert "expired on four May two zero three one" in midnight.answer


def test_a_role_is_fixed_by_the_channel_of_its_headset() -> None:
    run = Crewed().hear(TARN, channel=2)
    assert run.answer == "This is for the technician. Technician, speak."
    assert run.hear(TARN, channel=1).state.phase is Phase.IDENTITY_HEARD


def test_without_a_roster_a_task_with_an_inspection_is_not_started() -> None:
    with pytest.raises(UnexpectedEvent, match="needs a roster"):
        advance(TASK, before_start(TASK), Started())


# Read back: two statements, and neither is an echo. CAP 716, from memory: who is told what to
# see, sees it.


def spoken(run: Crewed) -> str:
    return " ".join(each.text.lower() for each in run.last if isinstance(each, Say))


def test_the_first_value_is_not_said_before_the_second_person_has_stated_theirs() -> None:
    """Said aloud, a value that was misread would come back just so: an echo, and no check."""
    run = at(*TO_PRESSURE, "one five zero zero")
    misread, echo = "one five zero zero", ""
    for words in ("say again", "read back", "words twice", misread, "affirm", "where am i"):
        assert "one five zero zero" not in spoken(run)
        assert "limits" not in spoken(run)
        echo += spoken(run)
        run.say(words)
    # A second person who only repeats what the tool says has nothing to repeat ...
    assert "five" not in echo
    # ... and who looks, finds the mistake.
    assert isinstance(run.say("second one six zero zero").written[-1], StatementsDiffer)


def test_two_that_agree_are_read_back_and_affirmed() -> None:
    run = at(*TO_PRESSURE, "one five zero zero", "second pressure one five zero zero p s i")
    assert run.answer == "One five zero zero p s i. Inside limits. Affirm?"
    assert [type(each) for each in run.written] == [SecondStated, ReadingTaken]
    assert run.say("affirm").step == "close-valve"
    assert dict(run.state.readings) == {"pressure": 1500}


def test_one_step_of_the_scale_apart_is_the_same_sight() -> None:
    run = at(*TO_PRESSURE, "one five zero zero", "second one five one zero", "affirm")
    assert dict(run.state.readings) == {"pressure": 1500}


def test_two_steps_apart_are_not() -> None:
    run = at(*TO_PRESSURE, "one five zero zero", "second one five two zero")
    assert StatementsDiffer("pressure", "1500", "1520", 1) in run.written
    assert run.answer == (
        "The two differ. Both read again. Technician first. Report pressure in p s i."
    )
    assert run.say("affirm").step == "pressure"


def test_two_that_lie_on_two_sides_of_a_limit_never_agree() -> None:
    run = at(*TO_PRESSURE, "two zero zero zero", "second two zero one zero")
    assert isinstance(run.written[-1], StatementsDiffer)


def test_three_differences_open_a_finding() -> None:
    run = at(*TO_PRESSURE, *("one five zero zero", "second one six zero zero") * 3)
    opened = next(each for each in run.written if isinstance(each, FindingOpened))
    assert opened.finding == Finding(
        1, "pressure", Category.DATA, "two persons read different values, 3 times", "OA417"
    )
    assert run.state.phase is Phase.STANDING_BY


def test_the_second_person_does_not_speak_first() -> None:
    run = at(*TO_PRESSURE, "second one five zero zero")
    assert run.answer == "The technician first. Report pressure in p s i."
    assert run.state.first is None


@pytest.mark.parametrize("channel", [1, 3])
def test_the_word_second_on_another_headset_is_not_believed(channel: int) -> None:
    run = at(*TO_PRESSURE, "one five zero zero").hear("second one five zero zero", channel=channel)
    assert run.state.phase is Phase.SECOND
    assert "five" not in spoken(run)


def test_on_the_second_headset_the_word_is_not_needed_and_not_asked_for() -> None:
    run = at(*TO_PRESSURE).hear("one five zero zero", channel=1)
    assert run.answer == "Noted. Second person, read the pressure yourself."
    run.hear("one five zero zero", channel=1)
    assert run.answer == "Noted. Second person, read the pressure yourself."
    run.hear("one five zero zero", channel=2)
    assert run.state.phase is Phase.CONFIRMING


def test_without_headsets_the_second_person_is_asked_to_say_the_word() -> None:
    asks = "Noted. Second person, read the pressure yourself. Say second first."
    run = at(*TO_PRESSURE, "one five zero zero")
    assert run.answer == asks
    assert run.say("one five zero zero").answer == asks  # whose word this is, nobody can tell


def test_the_technician_corrects_before_the_second_has_spoken() -> None:
    run = at(*TO_PRESSURE, "one five zero zero", "correction one six zero zero")
    assert "six" not in spoken(run)
    assert run.say("second one six zero zero", "affirm").state.readings[-1][1] == 1600


def test_a_correction_after_both_is_read_back_by_both_again() -> None:
    run = at(*TO_PRESSURE, "one five zero zero", "second one five zero zero")
    assert run.say("correction one six zero zero").state.phase is Phase.SECOND


def test_part_numbers_are_compared_letter_by_letter() -> None:
    run = at(*TO_PART, "kilo delta four seven", "second kilo delta four eight")
    assert StatementsDiffer("part", "KD47", "KD48", 1) in run.written
    run.say("kilo delta four seven", "second kilo delta four seven", "affirm")
    assert run.step == "lock"


# The inspection hold.


def test_the_inspector_hears_what_to_look_at_and_the_value() -> None:
    run = at(*TO_TORQUE, "one five", "affirm", INES, "affirm")
    assert run.answer == (
        "Ines Varga, inspector. Inspection of step seven. The work was: Tighten the cap. "
        "Read: one five newton metres. Say inspected, or rejected."
    )
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
    assert run.answer == "Rejected, and noted. Step six. Tie the lock. Report lock tied."
    assert dict(run.state.counts) == {"ties": 0}


def test_rejected_leads_to_where_the_task_says() -> None:
    run = at(*TO_TORQUE, "one five", "affirm", INES, "affirm", "rejected", "it turns")
    assert any(isinstance(each, StepLeft) for each in run.written)
    assert run.step == "torque-again"


def test_the_technician_does_not_say_inspected() -> None:
    run = at(*TO_LOCK, "lock tied", INES, "affirm").hear("inspected", channel=1)
    assert run.answer == "This is for the inspector. Inspector, speak."
    assert run.step == "lock"


def test_inspected_is_believed_only_where_it_was_heard_very_surely() -> None:
    run = at(*TO_LOCK, "lock tied", INES, "affirm").hear("inspected", score=0.93)
    assert run.step == "lock"


# Interruptions. CAP 716 and Doc 9824, from memory: after an interruption, go back some steps.


def test_after_a_short_time_work_goes_on_at_once() -> None:
    run = at(*TO_CLOSE, "stand by").after(LONG_INTERRUPTION).say("go ahead")
    assert run.answer == "Going on. Step four. Close the valve. Report valve shut."


def test_after_a_long_time_three_steps_are_said_and_each_state_is_confirmed() -> None:
    run = at(*TO_CLOSE, "stand by").after(LONG).say("go ahead")
    assert run.answer == (
        "Going on. Done: step one. Fit the safety pin. Done: step two. Open the valve. "
        "Done: step three. Read the pressure. Look: safety pin fitted. Affirm or negative?"
    )
    assert run.say("affirm").answer == "Look: valve open. Affirm or negative?"
    assert run.say("valve shut").step == "close-valve"
    assert run.say("affirm", "affirm").answer.startswith("Step four.")


@pytest.mark.parametrize("word", ["affirm", "go ahead"])
def test_a_deferral_that_took_long_was_an_interruption_too(word: str) -> None:
    run = at(*TO_COVER, "unable", "the hinge is bent", "part").after(LONG).say(word)
    assert "Look: safety pin fitted. Affirm or negative?" in run.answer


def test_a_state_that_is_not_as_recorded_opens_a_finding_and_holds_the_work() -> None:
    run = at(*TO_CLOSE, "stand by").after(LONG).say("go ahead", "affirm", "negative")
    assert StateDiffers("valve", "open", ("open-valve", "pressure")) in run.written
    assert "This undoes step two and step three." in run.answer
    run.say("go ahead")
    assert run.answer == "Going on. Look: safety pin fitted. Affirm or negative?"
    assert run.say(*("affirm",) * STATES).step == "close-valve"
    assert len(run.state.open_findings) == 1


def test_an_affirm_of_a_state_must_be_heard_very_surely() -> None:
    run = at(*TO_CLOSE, "stand by").after(LONG).say("go ahead").hear("affirm", score=0.93)
    assert run.state.checks[0] == "pin"


def test_the_reason_to_stand_by_is_kept_and_the_talk_after_it_is_not() -> None:
    run = at(*TO_FIRST, "stand by", "the fuel truck is here")
    assert Remarked("fit-pin", "stand by", "the fuel truck is here") in run.written
    run.say("one more thing")
    assert [type(each) for each in run.written] == [NotHeeded]


def test_silence_is_asked_into_and_then_stood_by() -> None:
    run = at(*TO_FIRST).silence()
    assert run.answer == "Are you there?"
    run.silence()
    assert run.written == [StoodBy("fit-pin", "nobody answered, twice for 30 s")]
    assert run.silence().answer.startswith("Standing by.")


def test_an_answer_ends_the_silence() -> None:
    assert at(*TO_FIRST).silence().say("say again").silence().answer == "Are you there?"


def test_silence_while_the_tool_speaks_is_a_mistake_of_the_shell() -> None:
    with pytest.raises(UnexpectedEvent, match="nobody was listened to"):
        advance(TASK, before_start(TASK), SilenceFor(timedelta(seconds=1), timedelta(0)))


def test_after_the_program_ended_people_and_states_and_times_are_in_doubt() -> None:
    run = at(*TO_CLOSE).taken_up()
    assert TimesVoid(("open-valve",)) in run.written
    assert "The time since step two is void." in run.answer
    assert run.state.crew.present == ()
    run.say(*TO_FIRST, *("affirm",) * STATES)
    assert run.step == "close-valve"
    # The valve was open within its hour by the running time, which stood still in between.
    run.say("valve shut")
    assert run.answer.startswith("Too late. The time for step four is over.")
    assert run.say("valve open", *TO_CLOSE[6:], "valve shut").step == "part"


def test_a_void_time_stays_void_where_the_run_goes_back_to() -> None:
    run = at(*TO_PART).taken_up().say(*TO_FIRST, *("affirm",) * STATES)
    assert run.say("back to step four", "affirm").step == "close-valve"
    assert run.say("valve shut").answer.startswith("Too late.")


def test_a_task_that_has_not_begun_is_not_taken_up() -> None:
    with pytest.raises(UnexpectedEvent, match="has not begun"):
        advance(TASK, before_start(TASK), TakenUp(timedelta(0)))


# Handover. 145.A.47(c), from memory: what is to be handed over is communicated.


def test_a_handover_says_and_writes_all_that_the_next_one_must_know() -> None:
    run = at(*TO_COVER, "unable", "the hinge is bent", "part", "affirm", "hand over")
    handed = next(each for each in run.written if isinstance(each, HandedOver))
    assert handed.by == "OA417"
    assert handed.step == "remove-pin"
    assert handed.done[-1] == "torque"
    assert handed.not_done == ("cover",)
    assert [each.remark for each in handed.open_findings] == ["the hinge is bent"]
    assert run.answer == (
        "Steps done: seven. Step one zero of one zero is next. Step niner is not done, deferred. "
        "Finding one is open: part, at step niner. "
        "Safety pin fitted. Valve closed. Rework none. Ties out: one. "
        "Handed over. The next one, say go ahead."
    )


def test_past_the_last_step_a_summary_tells_of_no_next_one() -> None:
    """The last step was deferred after a long wait, and states are still to be confirmed."""
    past = replace(at(*TO_END[:-1]).state, step=len(TASK.steps))
    (first, *_) = wording_people.summary(TASK, past)
    assert first.text == "Steps done: eight. No step is left."


def test_the_incoming_person_is_identified_hears_the_summary_and_confirms_each_state() -> None:
    run = at(*TO_CLOSE, "hand over", "go ahead")
    assert run.answer == "Going on. Technician, say your staff number."
    run.say(SEFA, "affirm", TARN, "affirm")
    assert "Steps done: three. Step four of one zero is next." in run.answer
    assert run.answer.endswith("Look: safety pin fitted. Affirm or negative?")
    run.say(*("affirm",) * STATES)
    assert run.say("valve shut").step == "part"
    assert run.state.crew.number_of(Role.TECHNICIAN) == "OA522"


def test_a_handover_goes_on_from_the_record_on_another_day() -> None:
    run = at(*TO_CLOSE, "hand over").taken_up(TODAY + timedelta(days=1))
    run.say(SEFA, "affirm", TARN, "affirm")
    assert "Steps done: three." in run.answer


# Findings.


def test_a_remark_is_the_free_transcription_and_no_word_of_it_is_acted_on() -> None:
    run = at(*TO_COVER, "unable")
    opinion = Opinion("any", ("affirm",), -1.0, 0.0, "The hinge is bent, affirm.")
    run.send(Heard(("affirm",), 0.99, (), (opinion,), run.now, run.now))
    run.finish_speaking()
    assert Remarked("cover", "unable", "The hinge is bent, affirm.", 1) in run.written
    assert run.step == "cover"


def test_nothing_said_is_no_remark() -> None:
    run = at(*TO_COVER, "unable", "")
    assert run.answer == "I heard nothing. Say why."


def test_a_finding_is_open_from_the_word_unable() -> None:
    """Whatever follows, or does not: nothing that cannot be done is lost."""
    run = at(*TO_COVER, "unable")
    assert any(isinstance(each, FindingOpened) for each in run.written)


def test_a_finding_is_in_the_summary_until_a_second_person_closes_it() -> None:
    run = at(*TO_COVER, "unable", "the hinge is bent", "part", "go ahead")
    assert run.say("close finding two").answer == "Finding two is not open."
    run.say("close finding one", TARN)
    assert "Tarn Osk has another part in this" in run.answer  # who raised it does not close it
    run.say(SEFA, "affirm")
    assert FindingClosed(1, "OA522", "Sefa Lund") in run.written
    assert run.step == "cover"
    assert run.state.open_findings == ()


def test_a_supervisor_may_close_a_finding_too_and_works_at_nothing_else() -> None:
    run = at(*TO_COVER, "unable", "the hinge is bent", "part", "go ahead")
    run.say("close finding one", RUAN, "affirm")
    assert FindingClosed(1, "OA966", "Ruan Dell") in run.written
    assert "not authorised as second person" in at(TARN, "affirm", RUAN).answer


def test_a_finding_that_is_open_at_the_end_is_read_out() -> None:
    run = at(*TO_COVER, "unable", "the hinge is bent", "part", "affirm", "pin removed")
    written = [each.entry for each in run.effects if isinstance(each, Write)]
    ended = next(each for each in written if isinstance(each, TaskEnded))
    assert [each.number for each in ended.open_findings] == [1]
    assert "Finding one is open: part, at step niner." in run.answer


# Going back.


def test_going_back_says_first_what_it_undoes_in_the_reverse_order() -> None:
    run = at(*TO_PART, "back to step one")
    assert run.answer == (
        "Back to step one undoes four steps. Put back, in this order: valve open, then valve "
        "closed, then safety pin removed. Affirm when that is done, or negative?"
    )
    assert run.step == "part"


def test_going_back_restores_states_counts_readings_and_times_together() -> None:
    run = at(*TO_TORQUE, "back to step three")
    before = at(*TO_PRESSURE).state
    assert "Ties out again: zero." in run.answer
    run.say("affirm")
    assert (
        WentBack("pressure", ("pressure", "close-valve", "part", "lock"), before.states)
        in run.written
    )
    for name in ("position", "readings", "done_at", "findings", "done"):
        assert getattr(run.state, name) == getattr(before, name)
    assert run.say(*TO_END[6:]).finished


def test_negative_undoes_nothing_but_what_may_have_been_touched_is_confirmed() -> None:
    run = at(*TO_PART, "back to step three", "negative")
    assert run.answer == "Nothing is undone. Look: valve closed. Affirm or negative?"
    assert run.say("affirm").step == "part"


@pytest.mark.parametrize(
    ("number", "answer"),
    [
        ("five", "This is step five."),
        ("eight", "Step eight was not begun on this way."),
        ("niner zero", "Step niner zero was not begun on this way."),
        ("zero", "Step zero was not begun on this way."),
    ],
)
def test_only_what_is_behind_can_be_gone_back_to(number: str, answer: str) -> None:
    run = at(*TO_PART, f"back to step {number}")
    assert run.answer == answer
    assert run.step == "part"


def test_a_finding_stays_open_where_the_run_goes_back_before_it() -> None:
    run = at(*TO_COVER, "unable", "the hinge is bent", "part", "affirm", "back to step one")
    run.say("affirm")
    assert len(run.state.open_findings) == 1


# Where am I.


def test_where_am_i_is_one_short_sentence() -> None:
    run = at(*TO_PRESSURE).after(timedelta(minutes=3, seconds=20)).say("where am i")
    assert run.answer == (
        "Step three of one zero, for three minutes, waiting for the answer, no finding open."
    )
    assert run.say("one five zero zero", "where am i").answer == (
        "Step three of one zero, for three minutes, waiting for the second person, no finding open."
    )


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
    run.say("unable", "the hinge is bent", "part").after(LONG).say("affirm")
    assert run.state.phase is Phase.CHECKING_STATES
    run.say("where am i")
    assert run.answer.startswith("Step one of one")
    lost = advance(run.task, run.state, HearingLost("the microphone has gone"))[1]
    assert any(isinstance(each, Say) and "Step one waits" in each.text for each in lost)
    run.hear("mumble", score=0.2).say("affirm")
    assert run.finished
