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
            "Write 1, 0.5, 0.25, 0.125, 0.0625, or leave 'fractions' out",
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
