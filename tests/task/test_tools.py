"""A calibrated tool is identified and found in calibration before the first step that uses it."""

import pytest

from handsfree.task.problems import TaskFileError, TaskNotProved
from handsfree.task.read import read_task
from tests.engine.tools import TOOLS
from tests.task.faults import step, task

EQUIPMENT = """\
equipment:
  - {name: Torque wrench, id: wrench, calibrated: true}
  - {name: Socket, id: socket}
"""
NUMBER = step("number", expect="{identity: wrench number, tool: wrench}")
DATE = step("due", "then: {expired: number}", "{date: calibration due, tool: wrench}")
USE = step("tighten", "uses: [wrench, socket]")


def complaint(*steps: str, more: str = EQUIPMENT) -> str:
    with pytest.raises(TaskFileError) as caught:
        read_task(task(*steps, more=more), "t.yaml")
    return str(caught.value)


def test_a_tool_that_is_read_before_it_is_used_is_proved() -> None:
    read_task(task(NUMBER, DATE, USE, more=EQUIPMENT), "t.yaml")


def test_a_tool_without_calibration_may_be_used_unread() -> None:
    read_task(task(step("tighten", "uses: [socket]"), more=EQUIPMENT), "t.yaml")


@pytest.mark.parametrize(
    ("steps", "what"),
    [
        (
            (USE,),
            "no step reads the number of 'wrench'. "
            "Add an earlier step with 'expect: {identity: ..., tool: wrench}'",
        ),
        (
            (NUMBER, USE),
            "no step reads the calibration date of 'wrench'. "
            "Add an earlier step with 'expect: {date: calibration due, tool: wrench}'",
        ),
        (
            (NUMBER, DATE.replace("then: {expired: number}", ""), USE),
            "nothing says where the number of another tool is read when 'wrench' is expired. "
            "Add 'then: {expired: number}'",
        ),
        (
            (step("look"), NUMBER, DATE.replace("expired: number", "expired: look"), USE),
            "'expired' leads on with the number of the tool that is out of date. "
            "Write 'expired: number', where the number of another tool is read",
        ),
        (
            (DATE.replace("expired: number", "expired: look"), step("look")),
            "no step reads the number of 'wrench'. "
            "Add an earlier step with 'expect: {identity: ..., tool: wrench}'",
        ),
        (
            (NUMBER, DATE.replace("wrench", "socket")),
            "'socket' is not calibrated, so it has no date. Write calibrated: true",
        ),
        (
            (NUMBER, NUMBER.replace("id: number", "id: again")),
            "step 'number' reads this of 'wrench' already. "
            "Read it in one step, and lead back to that step where it is read again",
        ),
        (
            (step("tighten", "uses: [wench]"),),
            "there is no tool 'wench'. Known: wrench, socket",
        ),
        (
            (step("number", expect="{identity: number, tool: wench}"),),
            "there is no tool 'wench'. Known: wrench, socket",
        ),
    ],
)
def test_what_is_not_known_of_a_tool_is_told(steps: tuple[str, ...], what: str) -> None:
    assert what in complaint(*steps)


@pytest.mark.parametrize("order", [(NUMBER, USE, DATE), (USE, NUMBER, DATE)])
def test_a_tool_that_is_used_too_early_is_not_proved(order: tuple[str, ...]) -> None:
    with pytest.raises(TaskNotProved, match="step 'tighten' rests on step 'due', which may not"):
        read_task(task(*order, more=EQUIPMENT), "t.yaml")


def test_a_date_before_its_number_is_not_proved() -> None:
    with pytest.raises(TaskNotProved, match="step 'due' rests on step 'number', which may not"):
        read_task(task(DATE, NUMBER, more=EQUIPMENT), "t.yaml")


def test_a_date_that_may_be_deferred_does_not_clear_a_tool() -> None:
    deferred = DATE.rstrip() + "\n    deferral: {authority: the duty engineer}\n"
    with pytest.raises(TaskNotProved) as caught:
        read_task(task(NUMBER, deferred, USE, more=EQUIPMENT), "t.yaml")
    assert "step 'tighten' rests on step 'due', which may not be done by then" in str(caught.value)
    assert '"unable", deferred by the duty engineer' in str(caught.value)


def test_another_tool_needs_its_own_date() -> None:
    """Who reads the number of another wrench and passes over its date is caught."""
    worn = step("worn", "then: {wrench worn: again}", "{choose: [wrench good, wrench worn]}")
    again = NUMBER.replace("Do number.", "Read it.")
    passes_over = (
        step(
            "first",
            "then: {begin here: number, begin there: skip}",
            "{choose: [begin here, begin there]}",
        ),
        again.rstrip() + "\n    then: due\n",
        DATE,
        USE,
        worn.replace("again", "number"),
        step("skip", "then: end"),
    )
    read_task(task(*passes_over, more=EQUIPMENT), "t.yaml")
    wrong = [each.replace("then: due", "then: asked") for each in passes_over]
    asked = step("asked", "then: {go through: due, pass over: tighten}", _CHOICE)
    with pytest.raises(TaskNotProved) as caught:
        read_task(task(*wrong[:2], asked, *wrong[2:], more=EQUIPMENT), "t.yaml")
    assert "step 'tighten' rests on step 'due', which may not be done by then" in str(caught.value)


_CHOICE = "{choose: [go through, pass over]}"


def test_an_old_date_does_not_clear_the_next_tool() -> None:
    """The date was read once; then another number is, and the way leads past the date."""
    broken = "then: {wrench broken: {go: again, sets: {wrench: second}}}"
    steps = (
        NUMBER,
        DATE.replace("id: due", "id: due\n    applies: {wrench: first}"),
        USE,
        step("look", broken, "{choose: [bolt tight, wrench broken]}"),
        step("ready", "then: end"),
        step("again", "then: number", "{confirm: another one taken}"),
    )
    values = "values: [first, second], start: first, end: [first, second]"
    wrench = f"  wrench: {{called: wrench, {values}}}\n"
    with pytest.raises(TaskNotProved) as caught:
        read_task(task(*steps, states=f"states:\n{wrench}", more=EQUIPMENT), "t.yaml")
    assert "step 'tighten' rests on step 'due', which may not be done by then" in str(caught.value)
    assert "wrench broken" in str(caught.value)


def test_a_repeated_step_names_its_own_tool() -> None:
    text = """\
equipment:
  - {name: Long wrench, id: long-wrench, calibrated: true}
  - {name: Short wrench, id: short-wrench, calibrated: true}
"""
    each = "each: {tool: [long wrench, short wrench]}\n"
    steps = (
        step("number", each, "{identity: number, tool: <tool>}"),
        step("due", f"{each}then: {{expired: number-<tool>}}", "{date: due, tool: <tool>}"),
        step("use", f"{each}uses: [<tool>]", "{confirm: <tool> used}"),
    )
    read = read_task(task(*steps, more=text), "t.yaml")
    assert read.number_of == {
        "long-wrench": "number-long-wrench",
        "short-wrench": "number-short-wrench",
    }
    assert read.steps[-1].uses == ("short-wrench",)


@pytest.mark.parametrize("limits", ["{min: 1, max: 2}", "{min: 2}", "{min: 3, max: 3}"])
def test_what_is_counted_in_is_counted_by_one_number_only(limits: str) -> None:
    text = TOOLS.replace("counts_in: {pins", "# \n    counts_in: {pins")
    at = text.index("pins-in")
    wrong = text[:at] + text[at:].replace("{min: 2, max: 2}", limits, 1)
    with pytest.raises(TaskFileError) as caught:
        read_task(wrong, "t.yaml")
    assert (
        "the step counts 2 pins in, but another number can be inside its limits. "
        "Write 'limits: {min: 2, max: 2}'" in str(caught.value)
    )


def test_one_number_does_not_count_several_things_in() -> None:
    wrong = TOOLS.replace("counts_in: {pins: 2}", "counts_in: {pins: 2, tools: 1}")
    with pytest.raises(TaskFileError, match="one number cannot count several things in"):
        read_task(wrong, "t.yaml")
