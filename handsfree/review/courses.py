"""When a step is done, and where each of its answers leads, in sentences."""

from collections.abc import Iterator, Mapping
from datetime import timedelta
from itertools import groupby

from handsfree.task.branching import END
from handsfree.task.course import (
    ABOVE,
    BELOW,
    DEFERRED,
    DONE,
    INSIDE,
    LATE,
    Way,
    possible_outcomes,
    way_out,
)
from handsfree.task.model import Task
from handsfree.task.step import Step
from handsfree.task.tools import EXPIRED

_OUTCOMES = {
    DONE: "done",
    INSIDE: "inside limits",
    BELOW: "below minimum",
    ABOVE: "above maximum",
    EXPIRED: "out of date",
    LATE: "too late",
}


def leads(task: Task, number: int) -> Iterator[str]:
    """Where each outcome of a step, from 1, leads; nothing where it only leads to the next."""
    step = task.steps[number - 1]
    if not step.then:
        return
    by_place: dict[str, list[str]] = {}
    for outcome in possible_outcomes(step):
        way = way_out(step, outcome)
        where = "the task stays at this step" if way is None else _led(task, number, way)
        by_place.setdefault(where, []).append(_OUTCOMES.get(outcome, f'"{outcome}"'))
    if len(by_place) == 1:
        yield from by_place
        return
    for where, outcomes in by_place.items():
        yield f"{' or '.join(outcomes)}: {where}"


def deferral(task: Task, number: int) -> Iterator[str]:
    """Who may agree that a step stays undone, and what follows."""
    step = task.steps[number - 1]
    way = way_out(step, DEFERRED)
    if step.deferral is not None and way is not None:
        yield (
            f'after "unable" it may stay undone if {step.deferral.authority} agrees; a finding '
            f"is then open; {_led(task, number, way)}"
        )


def waits(task: Task, step: Step) -> Iterator[str]:
    """How long after another step an answer is taken."""
    wait = step.wait
    if wait is None:
        return
    since = f"after {_named(task, wait.since)}, was done"
    if wait.at_least is not None:
        yield f"at least {duration(wait.at_least)} {since}; an earlier answer is not taken"
    if wait.at_most is not None:
        yield f"at most {duration(wait.at_most)} {since}; a later answer is too late"


def repeats(task: Task) -> dict[str, str]:
    """For which of several things each repeated step is done, by its id."""
    told: dict[str, str] = {}
    for (names, _), group in groupby(task.steps, _written_as):
        copies = list(group) if names else []
        items = [" ".join(_at_hand(each)) for each in copies]
        for at, step in enumerate(copies, 1):
            at_hand = zip(names, _at_hand(step), strict=True)
            told[step.id] = "for " + ", ".join(f"{name} {item}" for name, item in at_hand)
            if len(items) > 1:
                told[step.id] += f", {at} of {len(items)}: {', '.join(items)}, in this order"
    return told


def _written_as(step: Step) -> tuple[tuple[str, ...], str]:
    """The names that a repeated step goes through, and its id as it stands in the file."""
    suffix = "-".join(each.replace(" ", "-") for each in _at_hand(step))
    return tuple(step.each), step.id.removesuffix(suffix)


def _at_hand(step: Step) -> tuple[str, ...]:
    return tuple(items[0] for items in step.each.values())


def duration(time: timedelta) -> str:
    """In the largest unit that gives whole figures, such as "90 min"."""
    milliseconds = time // timedelta(milliseconds=1)
    for unit, length in (("h", 3_600_000), ("min", 60_000), ("s", 1000)):
        if milliseconds % length == 0:
            return f"{milliseconds // length} {unit}"
    whole, rest = divmod(milliseconds, 1000)
    return f"{whole}.{rest:03}".rstrip("0") + " s"


def called(name: str, task: Task) -> str:
    """What people call a state or counted things; a variant by its name."""
    known: Mapping[str, str] = {each: state.called for each, state in task.states.items()}
    return known.get(name) or (task.counted[name].called if name in task.counted else name)


def _led(task: Task, number: int, way: Way) -> str:
    # What the step sets on every outcome stands beside it already.
    own = task.steps[number - 1].sets if way.done else {}
    more = [f"{called(s, task)} {value}" for s, value in way.sets.items() if own.get(s) != value]
    sets = f"; it sets {' and '.join(more)}" if more else ""
    undone = way.outcome in (BELOW, ABOVE) and not way.planned
    return _goes(task, number, way.go) + sets + ("; the step is then not done" if undone else "")


def _goes(task: Task, number: int, go: str | None) -> str:
    if go == END or (go is None and number == len(task.steps)):
        return "the task ends"
    if go is None:
        return "the next step follows"
    if go not in task.index_of:
        return f"to step {go}"
    there = task.index_of[go] + 1
    way = "back" if there < number else "again" if there == number else "on"
    return f"{way} to {_named(task, go)}"


def _named(task: Task, step: str) -> str:
    return f"step {task.index_of[step] + 1}, {step}" if step in task.index_of else f"step {step}"
