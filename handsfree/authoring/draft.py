"""What was taken from a data module for a task file, and what was left."""

from dataclasses import dataclass

from handsfree.authoring.account import Left
from handsfree.task.step import LONGEST_INSTRUCTION_WORDS


@dataclass(frozen=True, slots=True)
class DraftStep:
    """A step of the draft, one for each paragraph or condition."""

    place: str  # where it stands in the module, such as "step 2.1" or "closing requirement"
    line: int
    instruction: str
    heading: str  # the title that stands above it in the module; "" where none does
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    left: tuple[Left, ...]  # what of this very step was not taken

    @property
    def is_long(self) -> bool:
        """Whether it has more words than a task file takes."""
        return len(self.instruction.split()) > LONGEST_INSTRUCTION_WORDS


@dataclass(frozen=True, slots=True)
class Item:
    """Something that is needed: its name and what is known of it."""

    name: str
    part_number: str
    quantity: str


@dataclass(frozen=True, slots=True)
class Draft:
    """What was taken from a module, and what was left."""

    module: str  # the file
    code: str  # the data module code
    issue: str
    title: str
    aircraft: str
    component: str
    warnings: tuple[str, ...]
    equipment: tuple[Item, ...]
    parts: tuple[Item, ...]
    consumables: tuple[Item, ...]
    steps: tuple[DraftStep, ...]
    left: tuple[Left, ...]

    @property
    def long_steps(self) -> tuple[DraftStep, ...]:
        """Steps whose instruction a person must split."""
        return tuple(step for step in self.steps if step.is_long)
