"""Less is said, and no safeguard is lost."""

from itertools import zip_longest

import pytest

from handsfree.engine.effects import Say, Speech
from handsfree.engine.events import Started
from handsfree.engine.manner import Manner
from handsfree.record.values import fields_of, value_from
from handsfree.task.expectations import ConfirmExpected
from handsfree.task.read import read_task
from tests.engine.conversation import TO_SERIAL, TO_SIDE, Conversation
from tests.long_task import LongRun
from tests.task.faults import step, task

KEPT = (Speech.WARNING, Speech.CAUTION, Speech.READ_BACK, Speech.QUESTION, Speech.NOTICE)


def by_the_book(manner: Manner) -> list[Say]:
    run = LongRun().begin(manner)
    while not run.finished:
        run.go_on()
    return [each for each in run.effects if isinstance(each, Say)]


def brisk() -> Conversation:
    run = Conversation()
    run.send(Started(manner=Manner.BRISK))
    return run.finish_speaking()


def test_brisk_keeps_every_warning_caution_read_back_and_question() -> None:
    full, short = by_the_book(Manner.FULL), by_the_book(Manner.BRISK)
    for one, other in zip_longest(
        (each for each in full if each.speech in KEPT),
        (each for each in short if each.speech in KEPT),
    ):
        assert one == other
    words = [sum(len(each.text.split()) for each in says) for says in (full, short)]
    assert words[1] < 0.85 * words[0]


def test_brisk_says_what_to_report_the_first_time_that_a_kind_of_step_comes() -> None:
    run = brisk()
    assert run.say("okay").answer == "I heard okay. Say pin fitted."
    assert run.say("say again").answer.endswith("Step one. Fit the safety pin. Report pin fitted.")
    run = brisk().say(*TO_SERIAL, "kilo delta four seven bravo")
    assert run.say("affirm").answer == (
        "Look where the harness runs. Report left side or right side."
    )
    assert run.say("left side").answer == "Left side. Remove the safety pin."


def test_a_step_that_is_said_again_is_said_in_full() -> None:
    run = brisk().say(*TO_SIDE, "left side")
    for words in ("say again", "what is next"):
        assert run.say(words).answer == "Step seven. Remove the safety pin. Report pin removed."
    run.say("stand by", "the telephone", "go ahead")
    assert run.answer == "Going on. Step seven. Remove the safety pin. Report pin removed."


def test_the_phrase_of_a_repeated_step_is_said_once() -> None:
    run = LongRun().begin().to_step("bracket-top")
    assert run.answer.endswith("Report top bracket tied.")
    assert run.go_on().answer.endswith("Attach the harness to the middle bracket with two ties.")
    run.hear("okay")
    assert run.answer == "I heard okay. Say middle bracket tied."
    assert run.hear("say again").answer.endswith("Report middle bracket tied.")


@pytest.mark.parametrize(("manner", "place"), [(Manner.FULL, True), (Manner.BRISK, False)])
def test_a_second_number_in_a_row_is_asked_for_by_its_name(manner: Manner, place: bool) -> None:
    run = LongRun().begin(manner).to_step("wrench-number")
    assert run.answer.endswith("Read the serial number of the torque wrench.")
    said = [run.to_step(each).answer for each in ("wrench-date", "thermometer-number")]
    assert said[0].endswith("Read the calibration date of the torque wrench.")
    assert said[1] == f"{'Step seven. ' if place else ''}Thermometer number."
    last = run.to_step("feeler-date").answer
    assert last == f"{'Step one two. ' if place else ''}Calibration due, feeler gauge."
    again = run.hear("say again").answer
    assert again == "Step one two. Read the calibration date of the feeler gauge."


def test_a_number_of_a_tool_is_asked_for_in_full_after_other_work() -> None:
    text = two_numbers("Read the serial number of the gauge.", between=True)
    assert "Read the serial number of the gauge." in second_number(text)


@pytest.mark.parametrize(
    "instruction",
    [
        "Take the gauge off its hook and read the serial number below.",
        "Read the serial number of the gauge and its hose as well.",
        "Read the gauge.",
    ],
)
def test_an_instruction_that_tells_more_than_the_one_before_is_said_whole(instruction: str) -> None:
    assert instruction in second_number(two_numbers(instruction))


@pytest.mark.parametrize(
    ("wrench", "gauge", "is_short"),
    [
        # Four words in common, before the thing, behind it, or on both sides.
        ("Read the number of wrench.", "Read the number of gauge.", True),
        ("Wrench number to be read.", "Gauge number to be read.", True),
        ("Of the wrench read out it all.", "Of the gauge read out it all.", True),
        ("Read the number wrench.", "Read the number gauge.", False),
        ("Wrench number read out.", "Gauge number read out.", False),
        # The thing has one to three words.
        ("Read the number of the long torque wrench.", "Read the number of the gauge.", True),
        ("Read the number of a very long wrench.", "Read the number of the gauge.", False),
        ("Read the number of the wrench.", "Read the number of a very long gauge.", False),
        ("Read the number of the wrench.", "Read the number of the wrench.", False),
        # All that is behind the thing is the same, however long.
        (
            "Read the number of the wrench that lies on the cart.",
            "Read the number of the gauge that lies on the cart.",
            True,
        ),
    ],
)
def test_an_instruction_that_differs_in_one_thing_only_is_left_out(
    wrench: str, gauge: str, is_short: bool
) -> None:
    text = two_numbers(gauge).replace("Read the serial number of the wrench.", wrench)
    said = second_number(text.replace(f"instruction: {gauge}", f"instruction: '{gauge}'"))
    assert (said == "Step two. Gauge number.") is is_short
    assert (gauge in said) is not is_short


def test_one_name_for_the_numbers_of_two_tools_is_said_with_the_tool() -> None:
    """Else "serial number" would be answered by whichever tool is at hand."""
    text = two_numbers("Read the serial number of the gauge.")
    same = text.replace("wrench number", "serial number").replace("gauge number", "serial number")
    assert second_number(same) == "Step two. Serial number, gauge."
    assert second_number(text) == "Step two. Gauge number."


def test_a_name_that_only_a_later_tool_has_too_is_said_with_the_tool() -> None:
    text = two_numbers("Read the serial number of the gauge.") + (
        "  - {id: later, instruction: Read the number of the hose., "
        "expect: {identity: gauge number, tool: hose}}\n"
    )
    text = text.replace("steps:", "  - {id: hose, name: Hose, calibrated: true}\nsteps:", 1)
    assert second_number(text) == "Step two. Gauge number, gauge."


def two_numbers(instruction: str, *, between: bool = False) -> str:
    """A task that reads the number of a wrench and then of a gauge."""
    steps = [
        ("Read the serial number of the wrench.", "{identity: wrench number, tool: wrench}"),
        (instruction, "{identity: gauge number, tool: gauge}"),
    ]
    if between:
        steps.insert(1, ("Open the door.", "{confirm: door open}"))
    return NUMBERS + "".join(
        f"  - {{id: s{at}, instruction: {told}, expect: {expect}}}\n"
        for at, (told, expect) in enumerate(steps)
    )


NUMBERS = """\
task: numbers
title: Numbers
revision: "1"
notice: Invented.
approved_data: {reference: QX 1, revision: "1"}
applicability: {aircraft: Any 1, component: bottle}
equipment:
  - {id: wrench, name: Wrench, calibrated: true}
  - {id: gauge, name: Gauge, calibrated: true}
steps:
"""


def second_number(text: str) -> str:
    """What is said when the second number is asked for."""
    run = Conversation(read_task(text, "numbers.yaml")).start().say("tango one", "affirm")
    return run.say("door open").answer if "door open" in text else run.answer


def said_at_each_step(
    each: str, expect: str, instruction: str = "Tighten the <side> <bolt> bolt."
) -> list[str]:
    """What is said at the steps of one repeated step, one after the other."""
    text = task(step("tighten", each, expect))
    text = text.replace("Do tighten.", instruction)
    written = read_task(text, "t.yaml")
    run = Conversation(written).start()
    said = [run.answer]
    for each_step in written.steps[:-1]:
        assert isinstance(each_step.expect, ConfirmExpected)
        said.append(run.say(each_step.expect.confirm).answer)
    return said


PAIRS = "each: {side: [left, right], bolt: [upper, lower]}"


def test_the_phrase_of_a_step_for_two_lists_is_said_once() -> None:
    first, *others = said_at_each_step(PAIRS, "{confirm: <side> <bolt> tight}")
    assert first.endswith("Report left upper tight.")
    assert [each.rpartition(". ")[2] for each in others] == [
        "Tighten the left lower bolt.",
        "Tighten the right upper bolt.",
        "Tighten the right lower bolt.",
    ]


def test_a_phrase_that_one_word_for_two_things_leaves_open_is_said() -> None:
    each = "each: {side: [left, right], bolt: [left, right]}"
    text = "Tighten the <bolt> bolt."
    _, second, *_ = said_at_each_step(each, "{confirm: <bolt> tight}", text)
    assert second.endswith("Report right tight.")


def test_the_manner_is_on_the_record() -> None:
    started = Started(manner=Manner.BRISK)
    assert value_from(Started, fields_of(started)) == started
    assert value_from(Started, {}).manner is Manner.FULL
