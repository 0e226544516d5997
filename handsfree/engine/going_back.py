"""Back to a step: what it undoes is said first, done by hand, and affirmed.

Why this keeps what `check` has proved stands in `task.course`.
"""

from dataclasses import replace

from handsfree.engine import wording
from handsfree.engine.entries import WentBack
from handsfree.engine.proceeding import arrive, proceed, states_in_doubt
from handsfree.engine.putting_back import put_back
from handsfree.engine.replies import Advance, ask, reply, without_value
from handsfree.engine.state import State
from handsfree.engine.waiting import GoingBack
from handsfree.task.model import Task


def ask_back(task: Task, state: State, number: int) -> Advance:
    """Say what going back to the step of this number undoes; nothing is undone before "affirm"."""
    target = number - 1
    at = next(
        (at for at in range(len(state.past) - 2, -1, -1) if state.past[at].position.step == target),
        None,
    )
    if at is None:
        is_here = target == state.step
        return reply(state, (), wording.interruptions.cannot_go_back(number, is_here))
    there = state.past[at]
    undone = tuple(each for each in state.done if each not in there.done)
    counts = tuple(
        now for now, then in zip(there.position.counts, state.counts, strict=True) if now != then
    )
    says = (
        *wording.interruptions.go_back(task, number, len(undone), _put_back(task, state, at)),
        *wording.interruptions.counted_back(task, counts),
        *wording.interruptions.proved_anew(task, undone),
    )
    says = (*says[:1], *says[2:], says[1])  # the question comes last
    this_step = replace(state.this_step, uninspected=None)
    return ask(replace(state, waits_for=GoingBack(at, says), this_step=this_step), (), says)


def _put_back(task: Task, state: State, at: int) -> tuple[tuple[str, str], ...]:
    came_by = (*(past.position.states for past in state.past[at:]), state.states)
    return put_back(task.never, came_by)


def gone_back(task: Task, state: State, to: int) -> Advance:
    """The states are put back: the run is where it was, with all that it knew there."""
    there = state.past[to]
    undone = tuple(each for each in state.done if each not in there.done)
    state = replace(without_value(state), progress=there, past=state.past[:to])
    if state.resumption.checks:
        state = state.with_checks(states_in_doubt(state))
    entry = WentBack(task.steps[there.position.step].id, undone, there.position.states)
    return arrive(task, state, (entry,), ())


def stay(task: Task, state: State, to: int) -> Advance:
    """Nothing is undone; but somebody may have begun to, so those states are confirmed."""
    touched = dict.fromkeys(name for name, _ in _put_back(task, state, to))
    checks = states_in_doubt(state) if state.resumption.checks else tuple(touched)
    checks = tuple(each for each in checks if each in states_in_doubt(state))
    return proceed(task, state.with_checks(checks), (), (wording.interruptions.stays(),))
