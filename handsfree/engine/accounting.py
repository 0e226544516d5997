"""Where each thing that is counted or used was seen last, and what is said when one is missing.

EASA Part-145, 145.A.48(a) asks for a general verification after maintenance that the aircraft is
clear of all tools, equipment and extraneous parts (from memory). That whoever counts is told where
a missing thing was seen last is common practice, no source.
"""

from dataclasses import replace

from handsfree.engine import wording
from handsfree.engine.entries import CountDiffers, ReadingTaken
from handsfree.engine.judging import Outcome
from handsfree.engine.state import State
from handsfree.task.course import DEFERRED, Way
from handsfree.task.expectations import DateExpected, IdentityExpected
from handsfree.task.limits.forms import Verdict
from handsfree.task.model import Task
from handsfree.task.step import Step
from handsfree.task.tools import counts_things_in

Seen = tuple[tuple[str, str], ...]
"""By what is counted or used: the id of the step that saw it last."""


def seen_after(seen: Seen, step: Step, way: Way) -> Seen:
    """`seen` after `step` was left by `way`. A step that was left undone counted nothing."""
    used = () if way.outcome == DEFERRED else (*step.uses, *_read(step))
    now = dict.fromkeys((*used, *way.counts), step.id)
    return tuple({**dict(seen), **now}.items()) if now else seen


def _read(step: Step) -> tuple[str, ...]:
    """The tool whose number or date is read."""
    expected = step.expect
    if isinstance(expected, IdentityExpected | DateExpected) and expected.tool:
        return (expected.tool,)
    return ()


def accounted(task: Task, state: State, outcome: Outcome) -> Outcome:
    """`outcome`, which says what is missing where a count of what comes back is not complete."""
    step = task.steps[state.step]
    if not counts_things_in(step):
        return outcome
    taken = next((each for each in outcome.entries if isinstance(each, ReadingTaken)), None)
    if taken is None or taken.verdict is Verdict.INSIDE:
        return outcome
    name, number = next(iter(step.counts_in.items()))
    seen = dict(state.progress.seen)
    differs = CountDiffers(
        step=step.id,
        item=name,
        out=dict(state.counts)[name],
        counted_in=int(taken.value),
        missing=number - int(taken.value),
        last_seen=tuple(
            (each, seen[each]) for each in (name, *task.counted[name].tools) if each in seen
        ),
    )
    return replace(
        outcome,
        entries=(*outcome.entries, differs),
        says=(*outcome.says[:-1], wording.values.count_differs(task, differs), outcome.says[-1]),
    )
