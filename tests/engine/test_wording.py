"""Sentences that no short conversation comes to, word for word, each as a kind of speech."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from handsfree.engine.crew import Crew, objection
from handsfree.engine.effects import Say, Speech
from handsfree.engine.on_file import NotUsable
from handsfree.engine.phase import Phase
from handsfree.engine.wording import doubts, failures, findings, help, interruptions, replies, steps
from handsfree.task.roles import Role
from handsfree.task.roster import Person
from handsfree.words.heard import Trouble
from handsfree.words.meanings import (
    Confirmed,
    Dated,
    Identified,
    Meaning,
    Ordered,
    Spoke,
    Stated,
)
from handsfree.words.plain import PlainWord
from handsfree.words.standard import StandardWord
from tests.engine.conversation import TO_PRESSURE, Conversation
from tests.engine.people_task import PEOPLE

AT_STEP = Conversation().start().say(*TO_PRESSURE)
ROSTER = Crew(PEOPLE)


def spoken(*says: Say) -> list[tuple[str, str]]:
    return [(each.speech.value, each.text) for each in says]


@pytest.mark.parametrize(
    ("say", "speech", "text"),
    [
        (
            failures.screen_lost(),
            Speech.CAUTION,
            "The screen shows nothing more. The task goes on by voice.",
        ),
        (
            failures.run_failed(),
            Speech.WARNING,
            "This program has failed and stops now. The task holds. Do not go on with the work. "
            "Tell your supervisor.",
        ),
        (
            failures.record_not_written(),
            Speech.WARNING,
            "The record cannot be written. The task holds. Do not go on with the work. "
            "Tell your supervisor.",
        ),
        (
            findings.cannot_close(3, ROSTER)[0],
            Speech.READ_BACK,
            "Finding three is not open.",
        ),
        (
            findings.cannot_close(3, Crew())[0],
            Speech.READ_BACK,
            "Without a roster nobody can close a finding.",
        ),
        (help.no_limits(), Speech.READ_BACK, "This step has no limits."),
        (help.no_limits("it is dark"), Speech.READ_BACK, "There are no limits: it is dark."),
        (
            help.limits("pressure", "psi", "ten", "twenty"),
            Speech.READ_BACK,
            "Pressure limits, ten to twenty p s i.",
        ),
        (
            help.limits("pressure", "psi", "ten", "ten"),
            Speech.READ_BACK,
            "Pressure limits, ten p s i.",
        ),
        (
            help.limits("pressure", "psi", "ten", ""),
            Speech.READ_BACK,
            "Pressure limits, at least ten p s i.",
        ),
        (
            help.limits("pressure", "psi", "", "twenty"),
            Speech.READ_BACK,
            "Pressure limits, at most twenty p s i.",
        ),
        (
            help.which_step(None)[0],
            Speech.QUESTION,
            "Say back to step, and its number.",
        ),
        (
            help.which_step(4)[0],
            Speech.QUESTION,
            "Say back to step, and its number. The last one done was step four.",
        ),
        (
            help.delivery_changed(PlainWord.SLOWER, is_bound=False),
            Speech.READ_BACK,
            "I speak slower.",
        ),
        (
            help.delivery_changed(PlainWord.SLOWER, is_bound=True),
            Speech.READ_BACK,
            "I cannot speak slower than this.",
        ),
        (
            help.heard_but_no_use("okay", "Say go ahead.", in_full=True)[0],
            Speech.QUESTION,
            "I heard okay. Say go ahead.",
        ),
        (
            help.heard_but_no_use("", "Say go ahead.", in_full=True)[0],
            Speech.QUESTION,
            "I know no such words. Say go ahead.",
        ),
        (
            help.heard_but_no_use("okay", "Say go ahead.", in_full=False)[0],
            Speech.QUESTION,
            "Say go ahead.",
        ),
        (steps.leads_on(4), Speech.QUESTION, "This leads to step four. Affirm?"),
        (steps.leads_on(None), Speech.QUESTION, "This ends the task. Affirm?"),
        (interruptions.cannot_go_back(4, True)[0], Speech.READ_BACK, "This is step four."),
        (
            interruptions.cannot_go_back(4, False)[0],
            Speech.READ_BACK,
            "Step four was not begun on this way.",
        ),
        (replies.say_again()[0], Speech.QUESTION, "Say again."),
        (replies.say_again("it was wet")[0], Speech.QUESTION, "Say again: it was wet."),
        (replies.say_again("say it dry")[0], Speech.QUESTION, "Say it dry."),
    ],
    ids=lambda each: each.text if isinstance(each, Say) else "",
)
def test_it_is_said_so(say: Say, speech: Speech, text: str) -> None:
    assert spoken(say) == [(speech.value, text)]


@pytest.mark.parametrize(
    ("score", "readable"), [(0.99, "five"), (0.98, "four"), (0.8, "four"), (0.79, "three")]
)
def test_how_well_it_is_read_is_answered_on_three_levels(score: float, readable: str) -> None:
    """The scale is that of ICAO Annex 10 Vol II, 5.2.1.8.4; which score makes which is ours."""
    assert replies.readability(score).text == f"Readability {readable}."


@pytest.mark.parametrize(
    ("trouble", "reason"),
    [
        (None, ""),
        (Trouble.TOO_LOUD, "too loud, move the microphone away from your mouth"),
        (Trouble.BROKEN_UP, "the sound is broken, check the headset"),
        (Trouble.MORE_SOUND, "more was said than I heard, one person at a time"),
        (Trouble.CUT_OFF, "you began while I spoke, wait until I have finished"),
        (Trouble.NO_PAUSE, "there was no pause in the sound, wait for quiet or use the keyboard"),
        (Trouble.TOO_LONG, "say it in one go"),
        (Trouble.TWO_VOICES, "two voices at once, one person at a time"),
        (Trouble.TOO_FAST, "it sounds too fast, say it slower or check the headset"),
        (Trouble.TOO_SLOW, "it sounds too slow, say it quicker or check the headset"),
        (Trouble.BROKEN_OFF, "the end was cut off, say all of it"),
    ],
)
def test_what_was_wrong_with_the_sound_is_told_with_what_helps(
    trouble: Trouble | None, reason: str
) -> None:
    assert replies.about_the_sound(trouble) == reason


def test_only_a_value_that_was_too_long_is_asked_for_with_its_unit() -> None:
    reading, other = AT_STEP.task.steps[AT_STEP.state.step].expect, AT_STEP.task.steps[1].expect
    state = AT_STEP.state

    def about(trouble: Trouble, expected: object = reading) -> str:
        assert expected in (reading, other)
        return replies.about_the_answer(state, expected, trouble)

    assert about(Trouble.TOO_LONG) == "say all of it, with its unit"
    assert about(Trouble.TOO_LONG, other) == "say it in one go"
    assert about(Trouble.TOO_LOUD) == "too loud, move the microphone away from your mouth"
    assert replies.all_of_it(state, other) == "say all of it"


@pytest.mark.parametrize(
    ("meaning", "again"),
    [
        (Spoke(StandardWord.AFFIRM), "say affirmative"),
        (Spoke(StandardWord.UNABLE), "say it again"),
        (Ordered(PlainWord.HELP), "say it again"),
        (Confirmed("pin fitted"), "say it again, then affirm"),
        (Identified("KD47"), "say it again, one character at a time, then affirm"),
        (Dated("2031-05-04"), "say it again, one character at a time, then affirm"),
        (Stated("3000", "psi"), "say it again, digit by digit, then affirm"),
    ],
    ids=lambda each: each if isinstance(each, str) else type(each).__name__,
)
def test_what_may_have_been_heard_is_offered_with_how_to_say_it_again(
    meaning: Meaning, again: str
) -> None:
    assert spoken(*doubts.offered(AT_STEP.state, ("what", "was", "heard"), meaning)) == [
        (
            "question",
            f"I may have heard what was heard. If that is right, {again}. If not, say negative.",
        )
    ]


def test_a_negative_that_may_have_been_heard_is_asked_for_by_itself() -> None:
    heard = doubts.offered(AT_STEP.state, ("negative",), Spoke(StandardWord.NEGATIVE))
    text = "I may have heard negative. If that is right, say negative again."
    assert spoken(*heard) == [("question", text)]


def test_who_is_not_heard_with_affirm_is_asked_for_affirmative_and_only_in_questions() -> None:
    asked = Say(Speech.QUESTION, "Affirm when it is done. Say affirm, not affirmed.")
    assert doubts.with_affirmative(asked).text == (
        "Affirmative when it is done. Say affirmative, not affirmed."
    )
    told = Say(Speech.NOTICE, "Say affirm.")
    assert doubts.with_affirmative(told) == told


@pytest.mark.parametrize(
    ("phase", "waits"),
    [
        (Phase.CONFIRMING, "waiting for affirm"),
        (Phase.OUTSIDE, "outside limits"),
        (Phase.STANDING_BY, "standing by"),
        (Phase.SECOND, "waiting for the second person"),
        (Phase.DEFERRING, "waiting for the deferral"),
        (Phase.REFERENCING, "waiting for the reference of the deferral"),
        (Phase.DEFERRAL_HEARD, "waiting for affirm of the deferral"),
        (Phase.IDENTIFYING, "waiting for a staff number"),
        (Phase.IDENTITY_HEARD, "waiting for affirm of a staff number"),
        (Phase.INSPECTING, "waiting for the inspector"),
        (Phase.CATEGORISING, "waiting for the category"),
        (Phase.CHECKING_STATES, "checking the states"),
    ],
)
def test_what_the_task_waits_for_is_told_so(phase: Phase, waits: str) -> None:
    assert replies._WAITS_FOR[phase] == waits


@pytest.mark.parametrize(
    ("seconds", "told"),
    [
        (0, "for less than a minute"),
        (59, "for less than a minute"),
        (60, "for one minute"),
        (119, "for one minute"),
        (7200, "for two hours"),
    ],
)
def test_how_long_a_step_has_waited_is_told_in_whole_minutes(seconds: int, told: str) -> None:
    now = AT_STEP.state.this_step.begun_at + timedelta(seconds=seconds)
    [say] = replies.where(AT_STEP.task, replace(AT_STEP.state, now=now))
    assert say.text.split(", ")[1] == told


def test_a_reason_not_to_use_a_tool_is_written_in_these_words() -> None:
    """They stand on the record, in `IdentityRead`, and in what is said."""
    assert [each.value for each in NotUsable] == [
        "it is not the number that was read before for this tool",
        "the task does not name it",
        "it is not in the equipment list",
        "the equipment list has another tool by that number",
        "the equipment list says that it is not serviceable",
        "the equipment list has no calibration date for it",
        "the equipment list says that its calibration is out of date",
        "the date today is not known",
    ]


@pytest.mark.parametrize(
    ("role", "today", "not_by", "why"),
    [
        (Role.TECHNICIAN, date(2031, 5, 4), (), None),
        (Role.TECHNICIAN, date(2031, 5, 5), (), "expired"),
        (Role.INSPECTOR, date(2031, 5, 4), (), "T. Osk is not authorised as inspector."),
        (
            Role.TECHNICIAN,
            None,
            (),
            "What day it is has not been told, so no authorisation can be checked.",
        ),
        (
            Role.TECHNICIAN,
            date(2031, 5, 4),
            ("OA1",),
            "T. Osk has another part in this and cannot be the technician too.",
        ),
        (Role.TECHNICIAN, date(2031, 5, 4), ("OA2",), None),
    ],
)
def test_what_speaks_against_a_person_in_a_role_is_told(
    role: Role, today: date | None, not_by: tuple[str, ...], why: str | None
) -> None:
    """EASA 145.A.35 for the validity; the last day still counts. Words: common practice."""
    person = Person("T. Osk", "OA1", ((Role.TECHNICIAN, date(2031, 5, 4)),))
    if why == "expired":
        why = "The authorisation of T. Osk as technician expired on 4 May 2031."
    assert objection(person, role, today, not_by) == why


def test_four_are_told_by_name_and_five_by_their_number() -> None:
    names = ["pin", "cap", "lid", "tie", "lever"]
    assert interruptions._listed(names[:4], "states") == "pin and cap and lid and tie"
    assert interruptions._listed(names, "states") == "5 states"
