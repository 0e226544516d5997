"""The model of a whole task file: what is to be done, where it applies, and with what."""

from functools import cached_property
from typing import Annotated

from pydantic import Field

from handsfree.task.draft import OpenPoints
from handsfree.task.equipment import Equipment
from handsfree.task.expectations import DateExpected, IdentityExpected
from handsfree.task.file_model import FileModel, Identifier, Text, Texts, Words
from handsfree.task.hearing_bound import HearingBound
from handsfree.task.states import Counted, DeviceState, NeverRule
from handsfree.task.step import Step


class ApprovedData(FileModel):
    """The approved maintenance data that this task follows, and that outranks it."""

    reference: Text
    """Its number or title, as a person can find it."""
    revision: Text
    """The revision that this task was written from."""


class Applicability(FileModel):
    """What the task may be used on."""

    aircraft: Text
    """Operator, type and registration."""
    component: Text
    """The component that is worked on."""


class Part(FileModel):
    """A part that is fitted."""

    name: Text
    """What it is."""
    number: Text
    """Its part number."""


class Task(FileModel):
    """A whole task file."""

    task: Identifier
    """The name of the task."""
    title: Text
    """What is done, as it is spoken."""
    revision: Text
    """The revision of this file, in quotes."""
    notice: Texts = ()
    """Said first, such as that the task is invented."""
    approved_data: ApprovedData
    """The approved maintenance data that the task follows, and that outranks it."""
    applicability: Applicability
    """The aircraft and the component that it may be used on."""
    warning: Texts = ()
    """Said before the first step: a person can be hurt."""
    equipment: tuple[Equipment, ...] = ()
    """Tools and test equipment."""
    parts: tuple[Part, ...] = ()
    """Parts that are fitted."""
    consumables: tuple[Text, ...] = ()
    """What is used up, such as nitrogen."""
    variants: dict[Identifier, Annotated[tuple[Words, ...], Field(min_length=2)]] = Field(
        default_factory=dict
    )
    """What is said once, at the start of a run, and holds for all of it, such as the side."""
    states: dict[Identifier, DeviceState] = Field(default_factory=dict)
    """Pins, ties, levers and the like, by name."""
    counted: dict[Identifier, Counted] = Field(default_factory=dict)
    """Things that are counted out of their place and in again, by name."""
    never: tuple[NeverRule, ...] = ()
    """Combinations of states that must not occur."""
    hearing: HearingBound | None = None
    """How surely the task must be heard; `rehearse` tells whether that holds."""
    steps: Annotated[tuple[Step, ...], Field(min_length=1)]
    """What is done, in this order where no outcome leads elsewhere."""
    todo: OpenPoints = ()
    """What an author must still settle. While it is there, the task is refused."""

    @cached_property
    def index_of(self) -> dict[str, int]:
        """The place of each step among the steps, by its id."""
        return {step.id: at for at, step in enumerate(self.steps)}

    @cached_property
    def number_of(self) -> dict[str, str]:
        """By the id of a tool, the id of the step that reads its number, not `again`."""
        return {
            step.expect.tool: step.id
            for step in self.steps
            if isinstance(step.expect, IdentityExpected)
            and step.expect.tool is not None
            and not step.expect.again
        }

    @cached_property
    def date_of(self) -> dict[str, str]:
        """By the id of a tool, the id of the step that reads its calibration date."""
        return {
            step.expect.tool: step.id
            for step in self.steps
            if isinstance(step.expect, DateExpected) and step.expect.tool is not None
        }
