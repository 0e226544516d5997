"""The way to a mistake, told as it would be spoken: the steps that matter, and their answers."""

from handsfree.task.course import ABOVE, BELOW, DEFERRED, DONE, INSIDE, LATE, REJECTED, Way
from handsfree.task.expectations import (
    ChoiceExpected,
    ConfirmExpected,
    DateExpected,
    IdentityExpected,
    ReadingExpected,
)
from handsfree.task.model import Task
from handsfree.task.proof.explore import Cone, Leg
from handsfree.task.step import Step
from handsfree.task.tools import EXPIRED

_VERDICTS = {INSIDE: "inside limits", BELOW: "below minimum", ABOVE: "above maximum"}


def tell(task: Task, legs: tuple[Leg, ...], about: Cone) -> tuple[str, ...]:
    """The way as lines for a person.

    Steps that are done as usual and change nothing of what the mistake is about are only counted.
    """
    lines = [f"The shortest way there has {_answers(len(legs))}:"]
    if legs and legs[0].left.variants:
        lines.append("with " + ", ".join(f"{k} {v}" for k, v in legs[0].left.variants))
    usual: list[str] = []
    for at, leg in enumerate(legs):
        step = task.steps[leg.left.step]
        changes = _changes(leg, about)
        told = f"Step {leg.left.step + 1}. {step.instruction} {answer(step, leg.way)}".rstrip()
        if at + 1 < len(legs) and leg.way.done and leg.way.go is None and not changes:
            usual.append(told)
            continue
        lines += _as_usual(usual)
        usual.clear()
        lines.append(told + (f" -> {', '.join(changes)}" if changes else ""))
    return tuple(lines + _as_usual(usual))


def answer(step: Step, way: Way) -> str:
    """What is said to leave `step` by `way`; empty where the step is only said."""
    if way.outcome == DEFERRED and step.deferral is not None:
        return f'"unable", deferred by {step.deferral.authority}'
    if way.outcome == REJECTED:
        return '"rejected" by the inspector'
    late = ", too late" if way.outcome == LATE else ""
    match step.expect:
        case ConfirmExpected(confirm=phrase):
            return f'"{phrase}"{late}'
        case ChoiceExpected():
            return "any answer, too late" if late else f'"{way.outcome}"'
        case ReadingExpected(reading=quantity):
            return f"{quantity}{late or ' ' + _VERDICTS[way.outcome]}"
        case IdentityExpected(identity=identity):
            return f"{identity}{late or ' accepted'}"
        case DateExpected(date=name):
            return f"{name}{late or (' out of date' if way.outcome == EXPIRED else ' in date')}"
    return "" if way.outcome == DONE else way.outcome


def _changes(leg: Leg, about: Cone) -> list[str]:
    before = dict(leg.left.states)
    changed = [
        f"{name} {value}"
        for name, value in leg.way.sets.items()
        if name in about.states and before.get(name) != value
    ]
    return changed + [
        f"{abs(more)} {name} {'out' if more > 0 else 'in'}"
        for name, more in leg.way.counts.items()
        if name in about.counts and more
    ]


def _as_usual(steps: list[str]) -> list[str]:
    return steps[:] if len(steps) < 2 else [f"... {len(steps)} steps as usual"]


def _answers(number: int) -> str:
    return "1 step" if number == 1 else f"{number} steps"
