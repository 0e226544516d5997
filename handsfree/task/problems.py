"""What is wrong with a task file, and where."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from handsfree.errors import HandsfreeError
from handsfree.visible import escaped, visible

_MOST_TOLD = 100  # nobody mends more at a time


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing to mend in a task file."""

    line: int  # from 1
    column: int  # from 1
    what: str
    instead: str  # what to write
    # What it is about, for an answer beside it; a repeated step says the same once for all copies.
    path: tuple[str | int, ...] = field(default=(), compare=False)
    way: tuple[str, ...] = ()  # the spoken steps that lead there, a line each; empty: none needed

    def by(self, way: tuple[str, ...]) -> "Problem":
        """This problem, with the way that leads to it."""
        return replace(self, way=way)

    def advise(self, name: str) -> str:
        """One line that advises to mend this; unlike an error, it stops nothing."""
        return replace(self, what=f"warning: {self.what}").describe(name)

    def describe(self, name: str) -> str:
        """`file:line:column: what. instead`, which editors turn into a link, then the way there.

        What a file holds stays on its line, and no escape sequence in it reaches a terminal.
        """
        told = visible(f"{self.what}. {self.instead}")
        line = f"{escaped(name)}:{self.line}:{self.column}: {told}"
        return "\n".join((line, *(f"    {visible(each)}" for each in self.way)))


def once(problems: Iterable[Problem], ids: Sequence[str]) -> list[Problem]:
    """Without what is told already of another copy of the same step; `ids` are those of the steps.

    A step that is done for each of several things stands in the file once.
    """
    found: dict[tuple[int, int, str], Problem] = {}
    for each in problems:
        what = each.what
        match each.path:
            case ("steps", int(at), *_):
                what = what.replace(f"'{ids[at]}'", "")
        found.setdefault((each.line, each.column, what), each)
    return list(found.values())


class TaskFileError(HandsfreeError):
    """A task file that must be mended before anyone speaks it. Holds every problem found."""

    exit_code = 2

    def __init__(self, name: str, problems: Sequence[Problem]) -> None:
        self.name = name
        self.problems = tuple(sorted(problems, key=lambda each: (each.line, each.column)))
        lines = [each.describe(name) for each in self.problems[:_MOST_TOLD]]
        if len(self.problems) > _MOST_TOLD:
            lines.append(f"{name}: and {len(self.problems) - _MOST_TOLD:,} more. Mend these first")
        super().__init__("\n".join(lines))


class TaskNotProved(TaskFileError):
    """A task that reads well, and that has a way through it that must not be."""

    exit_code = 1
