"""Whether the tools that a task names are in calibration."""

from collections.abc import Iterable
from datetime import date

from handsfree.errors import HandsfreeError
from handsfree.task.model import Equipment


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
