"""What follows from a task alone, worked out once for as long as that task is in use."""

from collections.abc import Callable
from typing import Generic, TypeVar

from handsfree.task.model import Task

_T = TypeVar("_T")
# A run has one task; whoever looks at many records has those of a few.
_MOST_TASKS = 8


class PerTask(Generic[_T]):
    """A function of a task that remembers its results for the tasks it was last asked about.

    A task is told by being that very object: to compare two by all that is in them takes as long
    as to work the result out. The object is held, so no other one can come in its place.
    """

    def __init__(self, work_out: Callable[[Task], _T]) -> None:
        self._work_out = work_out
        self._known: dict[int, tuple[Task, _T]] = {}

    def __call__(self, task: Task) -> _T:
        """The result for this task."""
        known = self._known.get(id(task))
        if known is None:
            known = (task, self._work_out(task))
            if len(self._known) >= _MOST_TASKS:
                self._known = {}
            self._known[id(task)] = known
        return known[1]
