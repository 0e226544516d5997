"""The course of a task: from where a run stands, what can come of a step, and where that leads.

The engine moves by this module and `explore` looks ahead by it, so that what was proved before the
run is what happens in the run. A position holds all that decides which steps can follow. It may
hold only some of the states: `move` changes what is there and knows of nothing else.

What is no way out of a step is not here. A doubtful hearing, a value that is refused or taken back,
two persons who read different values, "stand by" and the like leave the position as it was. So does
an interruption or a hand-over: each state is confirmed as it was recorded, or the run waits. An
inspector who rejects a step leaves it by the way `rejected`, or leaves the position as it was.

Going back to a completed step needs no move either. It restores the whole of `Position`, `answered`
and `counts` included, to what it was when the run arrived at that step, and the readings, times and
findings by step with it. So the run is at a position that it has been at, which `explore` has
found, and every way that leads on from there is one that `explore` has walked. The states are put
back by hand in an order in which no never rule can hold between: see `engine/putting_back.py`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from handsfree.task.branching import END, Exit
from handsfree.task.conditions import UNKNOWN, may_hold
from handsfree.task.expectations import (
    ChoiceExpected,
    DateExpected,
    IdentityExpected,
    ReadingExpected,
)
from handsfree.task.limits.forms import Verdict
from handsfree.task.model import Task
from handsfree.task.step import Step
from handsfree.task.tools import EXPIRED, cleared_by
from handsfree.task.validity import DateVerdict

# Outcomes of a step; every choice is one more, by its phrase.
DONE = "done"
INSIDE = "inside"  # of a reading: it is then done
BELOW = "below"
ABOVE = "above"
LATE = "late"
DEFERRED = "deferred"
REJECTED = "rejected"  # by the inspector; without a `then` of its own the step is done again

OUTCOME_OF_DATE = {DateVerdict.IN_DATE: DONE, DateVerdict.OUT_OF_DATE: EXPIRED}
OUTCOME_OF = {Verdict.INSIDE: INSIDE, Verdict.BELOW: BELOW, Verdict.ABOVE: ABOVE}

NAMED_OUTCOMES = frozenset({DONE, INSIDE, BELOW, ABOVE, EXPIRED, LATE, DEFERRED, REJECTED})


@dataclass(frozen=True, slots=True)
class Position:
    """Where a run stands, as far as it decides what can follow."""

    step: int  # index into the task's steps; their number at the end
    variants: tuple[tuple[str, str], ...]
    states: tuple[tuple[str, str], ...]
    counts: tuple[tuple[str, int], ...]  # how many are out
    answered: tuple[tuple[str, bool], ...]  # by id: whether a step that others rest on was done


@dataclass(frozen=True, slots=True)
class Way:
    """One way out of a step."""

    outcome: str
    done: bool  # the step is done; else it is left undone
    go: str | None  # the step it leads to, or "end"; None: the next one
    sets: Mapping[str, str] = field(default_factory=dict)
    counts: Mapping[str, int] = field(default_factory=dict)  # how many more are out
    # What was found is not what lets others rest on the step, but the task has work for it: nothing
    # was left undone. A worn pin leads to the work that replaces it.
    planned: bool = False


def rests_on(task: Task, step: Step) -> tuple[str, ...]:
    """The ids of the steps that must have been done before this one, for what they found."""
    expected = step.expect
    found = [*expected.limits.earlier] if isinstance(expected, ReadingExpected) else []
    if step.wait is not None:
        found.append(step.wait.since)
    found += cleared_by(task, step)
    return tuple(dict.fromkeys(found))


def beginning(task: Task, variants: Mapping[str, str]) -> Position:
    """The position at the start of a run of these variants."""
    rested_on = dict.fromkeys(each for step in task.steps for each in rests_on(task, step))
    position = Position(
        step=0,
        variants=tuple(variants.items()),
        states=tuple((name, state.start) for name, state in task.states.items()),
        counts=tuple((name, each.start) for name, each in task.counted.items()),
        answered=tuple((each, False) for each in rested_on),
    )
    return _arrived(task, position)


def ways(step: Step) -> tuple[Way, ...]:
    """Every way out of `step`, the usual ones first."""
    found = [_way(step, outcome, done=True) for outcome in _done_outcomes(step)]
    found += [
        _way(step, outcome, done=False)
        for outcome in step.then
        if outcome != DONE and not any(way.outcome == outcome for way in found)
    ]
    if step.deferral is not None:
        deferral = step.deferral
        found.append(Way(DEFERRED, done=False, go=deferral.go, sets=deferral.sets))
    return tuple(found)


def way_out(step: Step, outcome: str) -> Way | None:
    """The way that `outcome` takes out of `step`; None where it leaves the run at the step."""
    return next((way for way in ways(step) if way.outcome == outcome), None)


def possible_outcomes(step: Step) -> tuple[str, ...]:
    """What `then` of this step may name."""
    late = step.wait is not None and step.wait.at_most is not None
    besides = (*(LATE,) * late, *(REJECTED,) * step.inspection)
    match step.expect:
        case ReadingExpected(limits=limits):
            below, above = limits.sides
            return (INSIDE, *(BELOW,) * below, *(ABOVE,) * above, *besides)
        case ChoiceExpected(choose=choices):
            return (*choices, *besides)
        case DateExpected():
            return (DONE, EXPIRED, *besides)
    return (DONE, *besides)


def move(task: Task, position: Position, way: Way) -> Position:
    """Where a run stands after it has left the step at `position` by `way`."""
    step = task.steps[position.step]
    if way.go is None:
        at = position.step + 1
    else:
        at = len(task.steps) if way.go == END else task.index_of[way.go]
    # What does not change is shared: a search holds very many positions.
    states, counts, answered = position.states, position.counts, position.answered
    if way.sets:
        sets = way.sets
        states = tuple((each[0], sets[each[0]]) if each[0] in sets else each for each in states)
    if way.counts:
        counts = tuple((name, out + way.counts.get(name, 0)) for name, out in counts)
    if answered:
        # A step that is gone through again and left undone takes back what it found before.
        dated = _date_of_number(task, step)
        answered = tuple(
            (i, way.done if i == step.id else done and i != dated) for i, done in answered
        )
    return _arrived(task, Position(at, position.variants, states, counts, answered))


def undecided(task: Task, position: Position) -> str | None:
    """The state that is not known yet and decides whether the step at `position` applies."""
    if position.step == len(task.steps):
        return None
    known = dict((*position.variants, *position.states))
    return next((n for n in task.steps[position.step].applies if known[n] == UNKNOWN), None)


def _arrived(task: Task, position: Position) -> Position:
    """Pass over the steps that do not apply; one that may apply is not passed over."""
    at = position.step
    while at < len(task.steps) and (applies := task.steps[at].applies):
        known = dict((*position.variants, *position.states))
        if all(may_hold(condition, known[name]) for name, condition in applies.items()):
            break
        at += 1
    return position if at == position.step else replace(position, step=at)


def _date_of_number(task: Task, step: Step) -> str | None:
    """The step whose date was that of the tool before, when `step` reads the number of a tool."""
    if not isinstance(step.expect, IdentityExpected) or step.expect.tool is None:
        return None
    if step.expect.again:
        return None  # the same tool, or the step is not done
    return task.date_of.get(step.expect.tool)


def _done_outcomes(step: Step) -> tuple[str, ...]:
    match step.expect:
        case ReadingExpected():
            return (INSIDE,)
        case ChoiceExpected(choose=choices, required=required):
            return choices if required is None else (required,)
    return (DONE,)


def _way(step: Step, outcome: str, *, done: bool) -> Way:
    leads = step.then.get(outcome) or (step.then.get(DONE) if done else None) or Exit()
    if not done:
        return Way(outcome, done, leads.go, leads.sets, planned=_planned(step, outcome, leads))
    counts = dict(step.counts_out)
    for name, number in step.counts_in.items():
        counts[name] = counts.get(name, 0) - number
    return Way(outcome, done, leads.go, {**step.sets, **leads.sets}, counts)


def _planned(step: Step, outcome: str, leads: Exit) -> bool:
    if leads.planned is not None:
        return leads.planned
    is_found = outcome in (BELOW, ABOVE) or isinstance(step.expect, ChoiceExpected)
    return is_found and outcome not in (LATE, REJECTED) and leads.go != END
