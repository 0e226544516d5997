"""Tasks with a value that cannot be judged."""

from handsfree.task.model import Task
from handsfree.task.source import read_source
from tests.task.limits_of import task_of, task_text

_EVEN = (
    "left torque N.m {min: 10, max: 40}",
    "right torque N.m {min: 10, max: 40}",
    "middle torque N.m {of: {spread: [left, right, this]}, max: 5}",
)
EVEN = task_of(*_EVEN)
UNEVEN = task_text(*_EVEN)
GAS = "{gas: nitrogen, over: first, over_unit: degC, fill: {at: 20 degC, min: 50 bar, max: 60 bar}"


def unchecked(*steps: str) -> Task:
    """A task that no check across its parts has seen, as a mistake of ours could let through."""
    return Task.model_validate(read_source(task_text(*steps), "t.yaml").value)


FIRST = "first temperature degC {max: 900}"
UNCHECKED = {
    "outside the table": unchecked(
        FIRST,
        "last pressure bar "
        "{over: first, table: [{at: 0, min: 1, max: 2}, {at: 9, min: 2, max: 3}]}",
    ),
    "gas not known there": unchecked(FIRST, f"last pressure bar {GAS}, scale: bar gauge}}"),
    "reading never taken": unchecked(
        FIRST, f"last pressure bar {GAS.replace('over: first', 'over: gone')}, scale: bar gauge}}"
    ),
    "wrench too small": unchecked(
        FIRST,
        "last torque N.m {torque: {min: 20 N.m, max: 30 N.m}, wrench: {min: 0 N.m, max: 40 N.m}, "
        "prevailing: {over: first, with_extension: false}}",
    ),
}
