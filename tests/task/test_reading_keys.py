"""What a task file may say of a reading: further scales, fractions, "words twice"."""

import pytest

from handsfree.task.problems import TaskFileError
from handsfree.task.read import read_task
from tests.engine.gauges import GAUGES


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        (
            "{unit: bar, resolution: 1}",
            "{unit: degC, resolution: 1}",
            "t.yaml:13:7: 'degC' is no other unit of pressure. Write one of bar, kPa",
        ),
        (
            "{unit: bar, resolution: 1}",
            "{unit: psi, resolution: 1}",
            "t.yaml:13:7: 'psi' is no other unit of pressure. Write one of bar, kPa",
        ),
        (
            "{unit: bar, resolution: 1}",
            "{unit: bar, resolution: 1}, {unit: bar, resolution: 2}",
            "t.yaml:13:7: a scale is listed twice. List each scale once",
        ),
        (
            "{unit: bar, resolution: 1}",
            "{unit: bar, resolution: 0}",
            "t.yaml:13:34: '0' is not above 0. Write a larger number",
        ),
        (
            "resolution: 0.0625",
            "resolution: 0.05",
            "t.yaml:29:7: a scale of 0.05 in has no fractions that can be said. "
            "Write 1, 0.5, 0.25, 0.125, 0.0625, 0.03125, 0.015625, or leave 'fractions' out",
        ),
    ],
)
def test_a_mistake_is_named_with_its_place(old: str, new: str, line: str) -> None:
    with pytest.raises(TaskFileError) as caught:
        read_task(GAUGES.replace(old, new), "t.yaml")
    assert str(caught.value) == line


def test_a_quantity_with_one_unit_has_no_other_scale() -> None:
    text = GAUGES.replace("reading: torque", "reading: voltage").replace("unit: N.m", "unit: V")
    text = text.replace("words_twice: true", "other_scales: [{unit: A, resolution: 1}]")
    with pytest.raises(TaskFileError, match="'A' is no other unit of voltage"):
        read_task(text, "t.yaml")


TWO_PEOPLE = """\
task: small
title: A small task
revision: "1"
approved_data: {reference: QX 1, revision: "2"}
applicability: {aircraft: Any 1, component: bottle}
steps:
  - id: look
    instruction: Read the pressure.
    read_back: true
    expect:
      {reading: pressure, unit: psi, resolution: 5, agree_within: 5, limits: {min: 50, max: 90}}
"""


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        (
            "agree_within: 5",
            "agree_within: 3",
            "t.yaml:11:53: 3 psi is not a number of steps of the scale, which are 5 psi. "
            "Write how many steps apart two readings of one gauge may be, in its unit",
        ),
        (
            "reading: pressure, unit: psi",
            "reading: count, unit: each",
            "t.yaml:11:51: two people who count the same things get the same number. "
            "Leave agree_within out",
        ),
        (
            "    read_back: true\n",
            "",
            "t.yaml:9:5: agree_within says how far two people may differ, and nobody reads back. "
            "Add read_back: true to the step, or leave agree_within out",
        ),
    ],
)
def test_slack_between_two_people_fits_the_gauge(old: str, new: str, line: str) -> None:
    with pytest.raises(TaskFileError) as caught:
        read_task(TWO_PEOPLE.replace(old, new), "t.yaml")
    assert str(caught.value) == line


@pytest.mark.parametrize(
    ("by", "line"),
    [
        (
            "inspector",
            "t.yaml:10:5: an inspector looks at work and does none. "
            "Leave by out and write inspection: true, or name another person",
        ),
        (
            "mechanic",
            "t.yaml:10:5: 'mechanic' does no work on a step. Write technician or second person",
        ),
        (
            "second person",
            "t.yaml:10:5: the second person cannot read back their own value. "
            "Leave by out, so that the technician states it first",
        ),
    ],
)
def test_who_answers_a_step_is_a_person_who_can_do_it(by: str, line: str) -> None:
    with pytest.raises(TaskFileError) as caught:
        read_task(TWO_PEOPLE.replace("read_back: true", f"read_back: true\n    by: {by}"), "t.yaml")
    assert str(caught.value) == line
