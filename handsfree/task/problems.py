"""What is wrong with a task file, and where."""

from collections.abc import Sequence
from dataclasses import dataclass

from handsfree.errors import HandsfreeError


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing to mend in a task file."""

    line: int  # from 1
    column: int  # from 1
    what: str
    instead: str  # what to write

    def describe(self, name: str) -> str:
        """One line, `file:line:column: what. instead`, which editors turn into a link."""
        return f"{name}:{self.line}:{self.column}: {self.what}. {self.instead}"


class TaskFileError(HandsfreeError):
    """A task file that must be mended before anyone speaks it. Holds every problem found."""

    exit_code = 2

    def __init__(self, name: str, problems: Sequence[Problem]) -> None:
        self.name = name
        self.problems = tuple(sorted(problems, key=lambda each: (each.line, each.column)))
        super().__init__("\n".join(each.describe(name) for each in self.problems))
