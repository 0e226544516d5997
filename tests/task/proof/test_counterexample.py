"""How a way out of a step is told: as it would be spoken, for each kind of answer."""

import pytest

from handsfree.task.course import ways
from handsfree.task.proof.counterexample import answer
from handsfree.task.read import read_task
from tests.task.faults import CHOICE, READING, step, task

WAIT = (
    "wait: {since: before, at_most: 1 h}\ninspection: true\ndeferral: {authority: the engineer}\n"
)


def told(then: str, expect: str = "") -> list[str]:
    """Each way out of a step that waits, is inspected and may be deferred."""
    text = task(
        step("before"),
        step("look", f"{WAIT}then: {{late: before, rejected: before{then}}}", expect),
    )
    looked = read_task(text, "t.yaml").steps[1]
    return [answer(looked, way) for way in ways(looked)]


@pytest.mark.parametrize(
    ("then", "expect", "done", "late"),
    [
        ("", "{confirm: all in}", ['"all in"'], '"all in", too late'),
        (
            ", below: before, above: end",
            READING.replace("}}", "}, other_scales: [{unit: degF, resolution: 1}]}"),
            ["temperature inside limits", "temperature below minimum", "temperature above maximum"],
            "temperature, too late",
        ),
        (
            ", crack found: before",
            CHOICE,
            ['"all good"', '"crack found"'],
            "any answer, too late",
        ),
        (
            "",
            "{identity: part number, accept: [KD-1]}",
            ["part number accepted"],
            "part number, too late",
        ),
        (
            ", expired: before",
            "{date: life limit}",
            ["life limit in date", "life limit out of date"],
            "life limit, too late",
        ),
    ],
)
def test_each_way_out_of_a_step_is_told(then: str, expect: str, done: list[str], late: str) -> None:
    others = [late, '"rejected" by the inspector', '"unable", deferred by the engineer']
    assert sorted(told(then, expect)) == sorted([*done, *others])


def test_a_step_that_is_only_said_is_left_without_an_answer() -> None:
    text = task("  - {id: said, instruction: Mind the door.}\n", step("look"))
    said = read_task(text, "t.yaml").steps[0]
    assert [answer(said, way) for way in ways(said)] == [""]
