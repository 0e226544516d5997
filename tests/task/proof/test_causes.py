"""What comes first is told: the exit that closes a loop, and what left a step undone."""

import pytest

from handsfree.task.problems import TaskNotProved
from handsfree.task.read import read_task
from tests.task.authored.faulty import TEXTS
from tests.task.faults import CHOICE, READING, step, task


def told(text: str) -> list[str]:
    with pytest.raises(TaskNotProved) as caught:
        read_task(text, "t.yaml")
    return [each.describe("t.yaml").split("\n")[0] for each in caught.value.problems]


def test_a_loop_is_told_where_the_good_way_leads_back_and_not_where_rework_does() -> None:
    """What the loop keeps a run from, two steps, is not told as well."""
    exits = "then: {above: stop-to-mend, below: stop-to-mend, late: before, inside: "
    text = TEXTS["leak"].replace(f"{exits}drops}}", f"{exits}before}}")
    (line,) = told(text)
    assert line.startswith(f"t.yaml:{text[: text.index(exits)].count(chr(10)) + 1}:")
    assert "'inside' of step 'after' leads back to 'before' for ever" in line


def test_of_steps_that_are_not_reached_the_first_is_told() -> None:
    text = task(step("one", "then: end"), step("two"), step("three"))
    assert told(text) == [
        "t.yaml:13:5: no way leads to step 'two': step 'one' leads to 'end'. Delete it, or lead to "
        "it from a 'then'"
    ]


@pytest.mark.parametrize(
    ("before", "why"),
    [
        (step("warm", "deferral: {authority: them}", READING), "it can be deferred"),
        (
            step("warm", "then: {below: work}", READING),
            "it can be left by a reading that is 'below'",
        ),
        (
            step("look", "then: {seal torn: work}", CHOICE) + step("warm", "", READING),
            "'seal torn' of step 'look' leads past it",
        ),
        (
            step("look") + step("warm", "applies: {pin: removed}", READING),
            "no step is there",
        ),
    ],
)
def test_why_a_reading_may_be_missing_is_told(before: str, why: str) -> None:
    limits = "{over: warm, table: [{at: 0, min: 10, max: 20}, {at: 40, min: 30, max: 40}]}"
    work = step("work", "", f"{{reading: pressure, unit: psi, resolution: 1, limits: {limits}}}")
    lines = told(task(before, work))
    if why == "no step is there":
        assert "no way leads to step 'warm'" in lines[0]
    else:
        assert lines[0].endswith(f"by then: {why}. Lead every way to it through 'warm'")


def test_a_task_in_which_nothing_is_left_to_do_is_told_of() -> None:
    assert told(task(step("look", "applies: {pin: removed}"))) == [
        "t.yaml:8:1: no step is left to do. Mend 'applies'",
        "t.yaml:9:5: no way leads to step 'look'. Delete it, or lead to it from a 'then'",
    ]
