"""Whether the tools that a task names are in calibration."""

from collections.abc import Iterable, Mapping
from datetime import date

from handsfree.errors import HandsfreeError
from handsfree.task.course import ways
from handsfree.task.equipment import Equipment
from handsfree.task.model import Task


class CalibrationExpired(HandsfreeError):
    """A tool may not measure any more."""

    def __init__(self, tools: Iterable[Equipment], today: date) -> None:
        self.tools = tuple(tools)
        super().__init__(
            "\n".join(
                f"{tool.name}: calibration was due {tool.calibration_due}, today is {today}. "
                "Take another tool, and write its date in the task file."
                for tool in self.tools
            )
        )


def refuse_expired(equipment: Iterable[Equipment], today: date) -> None:
    """Raise CalibrationExpired for tools whose last day is over; `today` is given by the caller."""
    expired = [
        tool
        for tool in equipment
        if tool.calibration_due is not None and tool.calibration_due < today
    ]
    if expired:
        raise CalibrationExpired(expired, today)


class CalibrationRanOut(HandsfreeError):
    """A tool was in calibration when its date was read out, and is not any more."""

    def __init__(self, tool: str, due: date, today: date, step: str) -> None:
        super().__init__(
            f"{tool}: calibration was due {due}, today is {today}, and step '{step}' still uses "
            "it. Begin a new record, and read out the number of another tool there."
        )


def refuse_expired_since(task: Task, at: int, dates: Mapping[str, date], today: date) -> None:
    """Raise CalibrationRanOut where a run that goes on at step `at`, from 0, uses an expired tool.

    `dates` are those that were affirmed, by the id of the step that read them.
    """
    for step in task.steps[_first_that_can_follow(task, at) :]:
        for tool in step.uses:
            due = dates.get(task.date_of.get(tool, ""))
            if due is not None and due < today:
                raise CalibrationRanOut(tool, due, today, step.id)


def _first_that_can_follow(task: Task, at: int) -> int:
    """The earliest step that a run at step `at` can come to: some steps lead back."""
    first = at
    while True:
        led_to = (way.go for step in task.steps[first:] for way in ways(step))
        back = min((task.index_of.get(str(go), first) for go in led_to), default=first)
        if back >= first:
            return first
        first = back
