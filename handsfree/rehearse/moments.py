"""The moments of a task at which somebody speaks, each as the scripted crew has come to it."""

from collections.abc import Iterable
from dataclasses import dataclass

from handsfree.engine.phase import Phase
from handsfree.engine.state import State
from handsfree.rehearse.conversation import Conversation
from handsfree.rehearse.crew import Line
from handsfree.task.model import Task
from handsfree.task.step import Step

REHEARSED = (Phase.ANSWERING, Phase.CONFIRMING, Phase.SECOND)
"""What is rehearsed of each step: its answer, "affirm" of a value, the second person's value."""


@dataclass(frozen=True, slots=True)
class Moment:
    """A step that waits for something to be said."""

    step: str
    phase: Phase
    state: State
    line: Line  # what the crew said there

    @property
    def name(self) -> str:
        """By this name seeds and results know it."""
        return moment_name(self.step, self.phase)

    def step_in(self, task: Task) -> Step:
        """The step as the task has it."""
        return task.steps[task.index_of[self.step]]


def moment_name(step: str, phase: Phase) -> str:
    """What waits at a step, by name."""
    return f"{step}/{phase.value}"


def moments_of(walks: Iterable[Conversation]) -> tuple[Moment, ...]:
    """The first time that each step waits for each thing, by step in the order of the walks."""
    found: dict[tuple[str, Phase], Moment] = {}
    for walk in walks:
        for turn in walk.turns:
            phase = turn.state.phase
            if phase in REHEARSED and turn.line.words != "unable":
                moment = Moment(turn.step, phase, turn.state, turn.line)
                found.setdefault((turn.step, phase), moment)
    return tuple(found.values())
