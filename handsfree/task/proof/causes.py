"""What a mistake on a way comes from: the exit that closes a loop, a step that was left undone."""

from handsfree.task.conditions import describe
from handsfree.task.course import ABOVE, BELOW, DEFERRED, DONE, LATE, REJECTED, Position, ways
from handsfree.task.expectations import DateExpected, IdentityExpected, ReadingExpected
from handsfree.task.limits.forms import (
    CombinedLimits,
    DropLimits,
    SeveralLimits,
    TorqueLimits,
    parts_of,
)
from handsfree.task.model import Task
from handsfree.task.proof.explore import Leg, Walk
from handsfree.task.source import Path
from handsfree.task.step import Step
from handsfree.task.tools import EXPIRED

_LEFT = {
    DEFERRED: "can be deferred",
    EXPIRED: "can find a date that is over, 'expired'",
    LATE: "can come too late, 'late'",
    REJECTED: "can be 'rejected'",
    BELOW: "can be left by a reading that is 'below'",
    ABOVE: "can be left by a reading that is 'above'",
}


def how_left(leg: Leg) -> str:
    """How a step was left undone, as the end of a sentence about it."""
    return _LEFT.get(leg.way.outcome, f"can be left by '{leg.way.outcome}'")


def why_not_done(task: Task, step: str, way: tuple[Leg, ...]) -> str:
    """Why `step` was not done on `way`, as a clause."""
    at = task.index_of[step]
    for leg in reversed(way):
        if leg.left.step == at:
            if leg.way.done:
                break  # it was done, and what it found holds no more
            return f"it {how_left(leg)}"
    else:
        applies = task.steps[at].applies
        if applies:
            where = (f"'{name}' is {describe(each)}" for name, each in applies.items())
            return f"it applies only where {' and '.join(where)}"
        for leg in way:
            to = task.index_of.get(leg.way.go or "", len(task.steps))
            if leg.way.go is not None and leg.left.step < at < to:
                left = task.steps[leg.left.step]
                return f"{outcome_of(left, leg)} leads past it"
        return "it comes later"
    return "another tool was taken since"


def outcome_of(step: Step, leg: Leg) -> str:
    """The way out of a step, as a person may find it in the file."""
    outcome = "deferral" if leg.way.outcome == DEFERRED else leg.way.outcome
    return f"step '{step.id}'" if outcome == DONE else f"'{outcome}' of step '{step.id}'"


def path_of_exit(task: Task, leg: Leg) -> Path:
    """Where the file says where this way out of a step leads."""
    at, outcome = leg.left.step, leg.way.outcome
    if outcome == DEFERRED:
        return ("steps", at, "deferral", "go")
    key = outcome if outcome in task.steps[at].then else DONE
    return ("steps", at, "then", key)


def loop_closed_by(found: Walk, stuck: Position) -> Leg:
    """The exit that keeps a run going for ever once it is at `stuck`.

    It is the one that leads back where each step is done as it should be. A way that leads back
    from rework is as it must be, and the fault is where the good way does not lead on.
    """
    usual: dict[Position, tuple[Leg, Position]] = {}
    for leg, reached in found.legs:  # the usual way out of a step comes first
        usual.setdefault(leg.left, (leg, reached))
    passed: dict[Position, Leg] = {}
    here = stuck
    while here not in passed:
        passed[here], here = usual[here]
    legs = list(passed.values())
    circle = legs[list(passed).index(here) :]
    following = [leg.left.step for leg in (*circle[1:], circle[0])]
    return next(
        leg
        for leg, to in zip(reversed(circle), reversed(following), strict=True)
        if to <= leg.left.step
    )


def steps_after(task: Task, at: int) -> set[int]:
    """Every step that could be come to from step `at`, itself included."""
    seen: set[int] = set()
    waiting = [at]
    while waiting:
        here = waiting.pop()
        if here in seen or here >= len(task.steps):
            continue
        seen.add(here)
        for way in ways(task.steps[here]):
            waiting.append(
                here + 1 if way.go is None else task.index_of.get(way.go, len(task.steps))
            )
    return seen


def led_over(task: Task, found: Walk, at: int) -> str:
    """As a clause, how step `at` is jumped over from the step before it; empty where it is not."""
    for leg, reached in found.legs:
        if leg.left.step == at - 1 and leg.way.go is not None and reached.step != at:
            return f": {outcome_of(task.steps[at - 1], leg)} leads to '{leg.way.go}'"
    return ""


def where_it_rests(step: Step, on: str) -> Path:
    """The key of `step` that names the step that it rests on, or a tool that was read there."""
    expected = step.expect
    if isinstance(expected, ReadingExpected) and on in expected.limits.earlier:
        several = isinstance(expected.limits, SeveralLimits)
        number, limits = next(
            (n, each) for n, each in enumerate(parts_of(expected.limits)) if on in each.earlier
        )
        key: Path = ("over",)
        if isinstance(limits, CombinedLimits):
            key = ("of",)
        elif isinstance(limits, TorqueLimits):
            key = ("prevailing", "over")
        elif isinstance(limits, DropLimits):
            key = limits.key_of(on)
        return ("expect", "limits", *((number,) if several else ()), *key)
    if step.wait is not None and step.wait.since == on:
        return ("wait", "since")
    if isinstance(expected, DateExpected | IdentityExpected) and expected.tool is not None:
        return ("expect", "tool")
    return ("uses",) if step.uses else ()
