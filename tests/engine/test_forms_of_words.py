"""What is asked for and told, for each kind of answer and at both ends of each form of words."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from handsfree.engine.effects import Say, Speech
from handsfree.engine.entries import CountDiffers
from handsfree.engine.findings import Category
from handsfree.engine.wording import doubts, help, interruptions, people, saying, steps, values
from handsfree.task.expectations import (
    ChoiceExpected,
    ConfirmExpected,
    DateExpected,
    Expectation,
    IdentityExpected,
    OtherScale,
    ReadingExpected,
)
from handsfree.task.limits.forms import FixedLimits
from handsfree.task.read import read_task
from tests.engine.conversation import TASK, Conversation
from tests.engine.people_task import TASK as VALVE
from tests.engine.people_task import Crewed
from tests.task.faults import step, task

PSI = ReadingExpected(
    reading="pressure", unit="psi", resolution=Decimal(10), limits=FixedLimits(min=Decimal(9))
)
TWO_SCALES = PSI.model_copy(
    update={"other_scales": (OtherScale(unit="bar", resolution=Decimal(1)),)}
)
TWICE = PSI.model_copy(update={"words_twice": True})
CONFIRM = ConfirmExpected(confirm="pin fitted")
CHOICE = ChoiceExpected(choose=("one", "two", "three"))
IDENTITY = IdentityExpected(identity="part number")
DATE = DateExpected(date="life limit")
INCHES = ReadingExpected(
    reading="length",
    unit="in",
    resolution=Decimal("0.03125"),
    limits=FixedLimits(min=Decimal(0)),
    fractions=True,
)


def texts(*says: Say) -> list[str]:
    return [each.text for each in says]


@pytest.mark.parametrize(
    ("expected", "report", "say", "after_the_instruction"),
    [
        (CONFIRM, "Report pin fitted.", "Say pin fitted.", " Report pin fitted."),
        (
            CHOICE,
            "Report one or two or three.",
            "Say one, or two, or three.",
            " Report one or two or three.",
        ),
        (PSI, "Report pressure in p s i.", "Say pressure and the value, in p s i.", ""),
        (
            TWO_SCALES,
            "Report pressure in p s i or bar.",
            "Say pressure and the value, in p s i or bar.",
            " Report pressure in p s i or bar.",
        ),
        (
            TWICE,
            "Report pressure in p s i, words twice, with the unit each time.",
            "Say pressure and the value twice, with the unit each time, in p s i.",
            " Report pressure in p s i, words twice, with the unit each time.",
        ),
        (IDENTITY, "Read out the part number.", "Say the part number, each letter and figure.", ""),
        (
            DATE,
            "Read out the life limit: day, month by name, year.",
            "Say the life limit: day, month by name, year.",
            "",
        ),
        (None, "", "Say go ahead.", ""),
    ],
)
def test_each_kind_of_answer_is_asked_for_in_its_words(
    expected: Expectation | None, report: str, say: str, after_the_instruction: str
) -> None:
    assert steps.expected_answer(expected) == report
    assert help.in_words(expected) == say
    look = TASK.steps[0].model_copy(update={"expect": expected, "warning": (), "caution": ()})
    told = f"Step niner. Fit the safety pin.{after_the_instruction}"
    assert steps.step(9, look)[-1] == Say(Speech.INSTRUCTION, told)
    short = steps.step_in_short(9, look, numbered=False, report=False)
    # What nobody knows from the instruction is said each time.
    kept = after_the_instruction if isinstance(expected, ReadingExpected) else ""
    assert texts(*short) == [f"Fit the safety pin.{kept}"]


def test_only_a_value_is_said_figure_by_figure_after_it_was_taken_back() -> None:
    assert texts(*help.taken_back(PSI)) == [
        "Taken back. Say pressure and the value, in p s i. Each figure by itself."
    ]
    assert texts(*help.taken_back(CONFIRM)) == ["Taken back. Say pin fitted."]


@pytest.mark.parametrize(
    ("expected", "read"),
    [(PSI, "read the pressure"), (IDENTITY, "read the part number"), (CONFIRM, "")],
)
def test_a_second_person_is_asked_for_the_same_by_its_name(
    expected: Expectation, read: str
) -> None:
    asked = f"Noted. Second person, {read} yourself."
    assert texts(*people.second_wanted(expected, by_headset=True)) == [asked]
    assert texts(*people.second_wanted(expected, by_headset=False)) == [
        f"{asked} Say second first."
    ]


@pytest.mark.parametrize(
    ("expected", "form"),
    [
        (PSI, " slowly, each digit by itself"),
        (DATE, " slowly, each digit by itself"),
        (IDENTITY, " slowly, one character at a time"),
        (CONFIRM, ""),
        (CHOICE, ""),
        (None, ""),
    ],
)
def test_a_doubtful_answer_is_asked_for_in_another_form(
    expected: Expectation | None, form: str
) -> None:
    state = Conversation().start().state
    assert texts(*doubts.in_another_form(state, expected))[0] == f"Say again{form}."


@pytest.mark.parametrize(
    ("expected", "thing", "order"),
    [
        (IDENTITY, "left", "Part number, left."),
        (DATE, "", "Life limit."),
        (PSI, "left", ""),
        (None, "left", ""),
    ],
)
def test_one_more_tool_is_read_by_its_name(
    expected: Expectation | None, thing: str, order: str
) -> None:
    assert steps.one_more_tool(expected, thing) == order


def test_a_limit_is_told_as_the_scale_is_read() -> None:
    assert help.as_shown(None, PSI) == ""
    assert help.as_shown(Decimal("0.75"), INCHES) == "three quarters"
    assert help.as_shown(Decimal("0.75"), PSI) == "zero decimal seven five"
    assert texts(*values.too_fine(INCHES, Decimal("0.03125"), "in")) == [
        "The scale reads in steps of one thirty second inches. Read length again."
    ]
    assert texts(*values.each_figure(PSI)) == [
        "That can be two numbers. Say pressure figure by figure, in p s i."
    ]


@pytest.mark.parametrize(
    ("time", "told"),
    [
        (timedelta(0), ""),
        (timedelta(milliseconds=1), "1 second"),
        (timedelta(seconds=59, milliseconds=1), "1 minute"),
        (timedelta(seconds=61), "1 minute 1 second"),
        (timedelta(minutes=59, seconds=59), "59 minutes 59 seconds"),
        (timedelta(hours=1), "1 hour"),
        (timedelta(hours=25, seconds=2), "25 hours 2 seconds"),
    ],
)
def test_a_time_is_told_in_hours_minutes_and_seconds_and_never_shorter(
    time: timedelta, told: str
) -> None:
    assert saying.spoken_time(time) == told


@pytest.mark.parametrize(
    ("opens_in", "closes_in", "told"),
    [
        (None, None, []),
        (timedelta(0), None, []),
        (timedelta(seconds=2), None, ["Wait two seconds before you report."]),
        (None, timedelta(seconds=1), ["Report within one second."]),
        (None, timedelta(0), ["The time for this is over."]),
        (
            timedelta(seconds=1),
            timedelta(minutes=2),
            ["Wait one second before you report. Report within two minutes."],
        ),
    ],
)
def test_how_long_to_wait_and_how_long_there_is_time_are_told(
    opens_in: timedelta | None, closes_in: timedelta | None, told: list[str]
) -> None:
    assert texts(*steps.window(opens_in, closes_in)) == told


@pytest.mark.parametrize(
    ("text", "whole", "end"),
    [
        ("look here", "Look here.", "look here."),
        ("Look here.", "Look here.", "look here."),
        ("Is it in?", "Is it in?", "is it in?"),
        ("Stop!", "Stop!", "stop!"),
        ("OA is out", "OA is out.", "oA is out."),
    ],
)
def test_a_text_becomes_a_sentence_or_the_end_of_one(text: str, whole: str, end: str) -> None:
    assert saying.sentence(text) == whole
    assert saying.clause(text) == end


@pytest.mark.parametrize(
    ("undone", "changes", "told"),
    [
        (1, (), ["Back to step two undoes one step.", "Affirm when that is done, or negative?"]),
        (
            3,
            (("pin", "removed"),),
            [
                "Back to step two undoes three steps.",
                "Put back: safety pin removed. Affirm when that is done, or negative?",
            ],
        ),
        (
            2,
            (("valve", "unknown"), ("pin", "removed")),
            [
                "Back to step two undoes two steps.",
                "Put back, in this order: valve counts as unknown, then safety pin removed. "
                "Affirm when that is done, or negative?",
            ],
        ),
    ],
)
def test_what_going_back_undoes_is_told_in_its_order(
    undone: int, changes: tuple[tuple[str, str], ...], told: list[str]
) -> None:
    assert texts(*interruptions.go_back(VALVE, 2, undone, changes)) == told


def test_what_must_be_proved_anew_is_told_in_the_order_of_the_task() -> None:
    assert texts(*interruptions.proved_anew(VALVE, ("torque", "lock", "pressure"))) == [
        "To be read anew: pressure at step three and torque at step seven.",
        "To be inspected anew: step six and step seven.",
    ]
    assert interruptions.proved_anew(VALVE, ("fit-pin",)) == ()


def test_a_task_without_states_is_handed_over_without_any() -> None:
    bare = read_task(task(step("look"), step("feel"), step("hear"), states=""), "t.yaml")
    run = Conversation(bare).start().say("look done")
    assert texts(*interruptions.summary(bare, run.state)) == [
        "Steps done: one. Step two of three is next.",
        "No states.",
    ]


def test_states_and_what_is_counted_are_handed_over_together() -> None:
    run = Crewed()
    assert texts(*interruptions.summary(VALVE, run.state))[-1] == (
        "Safety pin removed. Valve closed. Rework none. Ties out: zero."
    )
    past = replace(run.state.progress.position, step=len(VALVE.steps))
    ended = replace(run.state, progress=replace(run.state.progress, position=past))
    assert texts(*interruptions.summary(VALVE, ended))[0] == "Steps done: zero. No step is left."


def test_what_is_missing_is_told_with_where_it_was_seen_last() -> None:
    missing = CountDiffers("lock", "ties", 2, 1, 1, (("ties", "lock"), ("torque-wrench", "torque")))
    assert texts(values.count_differs(VALVE, missing)) == [
        "Ties: two out, one in, one missing. Last seen: step six, tie the lock. "
        "Last seen: torque wrench, step seven, tighten the cap."
    ]
    more = CountDiffers("lock", "ties", 1, 3, -2, ())
    assert texts(values.count_differs(VALVE, more)) == ["Ties: one out, three in, two too many."]


def test_times_that_are_void_are_told_by_their_steps() -> None:
    assert texts(*interruptions.times_void((2, 5))) == [
        "The time since step two and step five is void. What had to be in time is too late."
    ]


def test_a_state_that_differs_is_told_with_what_it_undoes() -> None:
    _, finding = Crewed().state.findings.with_new("fit-pin", Category.OTHER, "", None)
    assert texts(*interruptions.state_differs(VALVE, "pin", finding, ())) == [
        "Then safety pin is not as recorded. Finding one is open. "
        "Put it as it was and say go ahead."
    ]
    assert texts(*interruptions.state_differs(VALVE, "pin", finding, (1, 3))) == [
        "Then safety pin is not as recorded. Finding one is open. This undoes step one and step "
        "three. Put it as it was and say go ahead."
    ]
    assert texts(*interruptions.check_state(VALVE, "pin", "fitted")) == [
        "Look: safety pin fitted. Affirm or negative?"
    ]


def test_standing_by_after_something_was_done_tells_how_to_undo_it() -> None:
    assert texts(*interruptions.standing_by_to_take_back(None)) == [
        "Standing by. Say go ahead to go on."
    ]
    assert texts(*interruptions.standing_by_to_take_back(4)) == [
        "Standing by. Say go ahead to go on. Step four was done last: if that is wrong, then say "
        "back to step four."
    ]


def test_a_name_that_is_no_name_is_cut_and_one_that_nobody_wrote_down_is_in_its_sound() -> None:
    def read_back(name: str) -> str:
        return texts(*steps.deferral_read_back("the engineer", name, "R31"))[0]

    assert read_back("Olan Ahl") == (
        "Deferred by the engineer: Olan Ahl. Reference romeo three one."
    )
    assert read_back("") == (
        "Deferred by the engineer: a name that is kept in its sound. Reference romeo three one."
    )
    assert (
        read_back("a " * 30)
        == f"Deferred by the engineer: {'a ' * 29}a. Reference romeo three one."
    )
    assert read_back("ab " * 21) == (
        f"Deferred by the engineer: {'ab ' * 19}ab. Reference romeo three one."
    )
