"""Every kind of fault is found, and told with the shortest way to it.

`faults.txt` holds what is said of each task in `faults.py`; every way in it was followed by hand.
"""

from pathlib import Path

import pytest

from handsfree.task.problems import TaskNotProved
from handsfree.task.read import read_task
from tests.task.faults import TASKS

TOLD = dict(
    each.strip().split("\n", 1)
    for each in (Path(__file__).parent / "faults.txt").read_text().split("### ")[1:]
)


def test_there_is_a_text_for_each_task_with_a_fault() -> None:
    assert list(TOLD) == list(TASKS)
    assert len(TASKS) >= 30


@pytest.mark.parametrize("fault", TASKS)
def test_the_fault_is_told_with_the_shortest_way_to_it(fault: str) -> None:
    with pytest.raises(TaskNotProved) as caught:
        read_task(TASKS[fault], "t.yaml")
    assert str(caught.value) == TOLD[fault]
    assert len(caught.value.problems) == 1
