"""A lane for each state: its value after every step, and the steps that set it."""

from dataclasses import dataclass

from handsfree.task.model import DeviceState, Task


@dataclass(frozen=True, slots=True)
class Lane:
    """One state over the steps, as if each step were done once, in the order of the file."""

    called: str
    start: str
    ends: tuple[str, ...]  # what it may be at the end
    values: tuple[str, ...]
    after: tuple[str, ...]  # its value after each step; the first is after step 1
    set_at: frozenset[int]  # step numbers, from 1; a step may set the value that already is

    def before(self, number: int) -> str:
        """Its value before a step."""
        return self.start if number == 1 else self.after[number - 2]

    def changes_at(self, number: int) -> bool:
        """Whether a step brings another value."""
        return self.before(number) != self.after[number - 1]

    @property
    def must_end(self) -> str:
        """What it may be at the end, in words."""
        return " or ".join(self.ends)


def lanes_of(task: Task) -> tuple[Lane, ...]:
    """Every state of `task`, in the order of the file."""
    return tuple(_lane(name, state, task) for name, state in task.states.items())


def _lane(name: str, state: DeviceState, task: Task) -> Lane:
    now = state.start
    after: list[str] = []
    set_at: set[int] = set()
    for number, step in enumerate(task.steps, 1):
        if name in step.sets:
            now = step.sets[name]
            set_at.add(number)
        after.append(now)
    ends = (state.end,) if isinstance(state.end, str) else tuple(state.end)
    return Lane(state.called, state.start, ends, state.values, tuple(after), frozenset(set_at))
