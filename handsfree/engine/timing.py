"""When a step that waits may be answered: said as it begins, when asked, and when it is time.

All are running times. They count from when the step that the task names was done.
"""

from dataclasses import dataclass
from datetime import timedelta

from handsfree.engine import wording
from handsfree.engine.phase import Phase
from handsfree.engine.replies import Advance, Says, UnexpectedEvent, reply, step_of
from handsfree.engine.state import State
from handsfree.task.model import Task

# While a value is in question, or somebody else is asked, nobody wants to hear of the time.
_WAITS_TO_BE_ANSWERED = frozenset({Phase.ANSWERING, Phase.OUTSIDE})


@dataclass(frozen=True, slots=True)
class Window:
    """From when until when a step may be answered; None where that side is open."""

    opens: timedelta | None
    closes: timedelta | None


def window(task: Task, state: State) -> Window | None:
    """The window of the step where the run stands; None where it does not wait."""
    wait = None if state.step >= len(task.steps) else step_of(task, state).wait
    since = None if wait is None else dict(state.progress.done_at).get(wait.since)
    if wait is None or since is None:
        return None
    return Window(
        None if wait.at_least is None else since + wait.at_least,
        None if wait.at_most is None else _closes(state, wait.since, since + wait.at_most),
    )


def _closes(state: State, since: str, closes: timedelta) -> timedelta:
    """When the time ends; where it is void it is over, for nobody knows how long it was."""
    return timedelta(0) if since in state.progress.void else closes


def told(task: Task, state: State) -> Says:
    """How long there is to wait, and how long there is time, where the step says so."""
    found = window(task, state)
    if found is None:
        return ()
    opens_in = None if found.opens is None else found.opens - state.now
    closes_in = None if found.closes is None else found.closes - state.now
    return wording.steps.window(opens_in, closes_in)


def tell_at(task: Task, state: State) -> timedelta | None:
    """The next running time at which the window opens or closes, while an answer is waited for."""
    found = window(task, state)
    if found is None or state.phase not in _WAITS_TO_BE_ANSWERED:
        return None
    ahead = [each for each in (found.opens, found.closes) if each is not None and each > state.now]
    return min(ahead, default=None)


def is_too_early(task: Task, state: State) -> bool:
    """Whether an answer is waited for that cannot be given yet."""
    found = window(task, state)
    opens = None if found is None else found.opens
    return opens is not None and opens > state.now and state.phase in _WAITS_TO_BE_ANSWERED


def time_came(task: Task, state: State, before: timedelta) -> Advance:
    """The window has opened or closed since the running time `before`: say which, and ask anew."""
    found = window(task, state)
    if state.speaking or found is None or state.phase not in _WAITS_TO_BE_ANSWERED:
        raise UnexpectedEvent("no time was to be told")
    is_over = found.closes is not None and before < found.closes <= state.now
    says = (
        wording.steps.time_is_over()
        if is_over
        else wording.steps.wait_is_over(step_of(task, state).expect)
    )
    return reply(state, (), says)
