"""What every part of the conversation answers with."""

from dataclasses import replace

from handsfree.engine import wording
from handsfree.engine.effects import Effect, Say, Write
from handsfree.engine.entries import Entry, NotActedOn, NotHeeded
from handsfree.engine.state import State
from handsfree.engine.waiting import Answering
from handsfree.task.model import Task
from handsfree.task.step import Step
from handsfree.words.heard import Heard

Advance = tuple[State, tuple[Effect, ...]]
Says = tuple[Say, ...]
Entries = tuple[Entry, ...]


class UnexpectedEvent(ValueError):
    """The shell sent an event that cannot happen now: a mistake in the shell, not of a person."""


def reply(state: State, entries: Entries, says: Says) -> Advance:
    """Write first, then speak; nothing heard before `Spoken` is acted on."""
    if state.exchange.affirmative:
        says = tuple(map(wording.doubts.with_affirmative, says))
    return replace(state, speaking=True), (*map(Write, entries), *says)


def ask(state: State, entries: Entries, says: Says) -> Advance:
    """Write first, then say what "say again" repeats from now on."""
    return reply(replace(state, exchange=replace(state.exchange, said=says)), entries, says)


def not_heeded(task: Task, state: State, heard: Heard, reason: NotActedOn) -> NotHeeded:
    """What was heard and is not acted on."""
    return NotHeeded(step_id(task, state), heard.words, reason)


def without_value(state: State) -> State:
    """Back at the step, with nothing that waits to be affirmed or to be stated again."""
    return replace(state, waits_for=Answering())


def step_of(task: Task, state: State) -> Step:
    """The step where the run stands; past the last one, the last one.

    It stands there where states are still to be confirmed after the last step was deferred.
    """
    return task.steps[min(state.step, len(task.steps) - 1)]


def step_number(task: Task, state: State) -> int:
    """The number of that step, from 1."""
    return task.index_of[step_id(task, state)] + 1


def step_id(task: Task, state: State) -> str:
    """The id of that step."""
    return step_of(task, state).id
