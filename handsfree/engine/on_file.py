"""What is on file about the tool that a step reads, and whether a number that was read will do."""

from dataclasses import dataclass
from datetime import date
from enum import Enum

from handsfree.engine.state import State
from handsfree.task.equipment import Equipment
from handsfree.task.equipment_list import SERVICEABLE, ListedTool, same_name
from handsfree.task.expectations import DateExpected, IdentityExpected
from handsfree.task.model import Task


class NotUsable(Enum):
    """Why a number that was read out is not accepted; each is a sentence without its full stop."""

    NOT_THE_SAME = "it is not the number that was read before for this tool"
    NOT_NAMED = "the task does not name it"
    NOT_LISTED = "it is not in the equipment list"
    ANOTHER_TOOL = "the equipment list has another tool by that number"
    NOT_SERVICEABLE = "the equipment list says that it is not serviceable"
    NO_DATE = "the equipment list has no calibration date for it"
    OUT_OF_DATE = "the equipment list says that its calibration is out of date"
    TODAY_UNKNOWN = "the date today is not known"


@dataclass(frozen=True, slots=True)
class OnFile:
    """What a number or a date is held against."""

    today: date | None = None  # UTC, at this moment of the run
    tool: Equipment | None = None  # that the step is about
    equipment: tuple[ListedTool, ...] | None = None  # None: no list was given
    number: str | None = None  # of the tool, affirmed earlier in the run

    def refusal(self, expected: IdentityExpected, characters: str) -> NotUsable | None:
        """Why the number is not accepted; None: it is."""
        if expected.again and characters != self.number:
            return NotUsable.NOT_THE_SAME
        if expected.accept and characters not in expected.accepted_characters:
            return NotUsable.NOT_NAMED
        if self.tool is None or self.equipment is None:
            return None
        listed = self._listed(characters)
        if listed is None:
            return NotUsable.NOT_LISTED
        if not same_name(listed.name, self.tool.name):
            return NotUsable.ANOTHER_TOOL
        if listed.status != SERVICEABLE:
            return NotUsable.NOT_SERVICEABLE
        if not self.tool.calibrated:
            return None
        if listed.calibration_due is None:
            return NotUsable.NO_DATE
        if self.today is None:
            return NotUsable.TODAY_UNKNOWN
        return NotUsable.OUT_OF_DATE if listed.calibration_due < self.today else None

    @property
    def dates(self) -> tuple[date, ...]:
        """The calibration dates that the task and the list give for the tool."""
        listed = self._listed(self.number)
        found = (
            None if self.tool is None else self.tool.calibration_due,
            None if listed is None else listed.calibration_due,
        )
        return tuple(each for each in found if each is not None)

    def _listed(self, number: str | None) -> ListedTool | None:
        return next((each for each in self.equipment or () if each.serial == number), None)


def on_file(task: Task, state: State) -> OnFile:
    """What is on file about the tool that the step at `state` reads."""
    expected = task.steps[state.step].expect
    if not isinstance(expected, IdentityExpected | DateExpected) or expected.tool is None:
        return OnFile(_today(state))
    return OnFile(
        today=_today(state),
        tool=next((each for each in task.equipment if each.id == expected.tool), None),
        equipment=state.given.equipment,
        number=dict(state.progress.identified).get(task.number_of.get(expected.tool, "")),
    )


def _today(state: State) -> date | None:
    """The day that the shell told, or a later one where midnight has passed since then."""
    told, counted = state.given.today, state.crew.today(state.now)
    return told if told is None or counted is None else max(told, counted)
