"""The last value that was stated, with its verdict and what became of it."""

from dataclasses import dataclass, replace
from enum import Enum
from fractions import Fraction

from handsfree.board.symbols import symbol_of
from handsfree.engine.entries import (
    ChoiceMade,
    DateRead,
    Entry,
    IdentityRead,
    InspectionCalled,
    InspectionPassed,
    InspectionRejected,
    ReadingRefused,
    ReadingTaken,
    StepConfirmed,
    StepLeft,
    WentBack,
)
from handsfree.engine.on_file import NotUsable
from handsfree.engine.state import State
from handsfree.task.expectations import (
    ChoiceExpected,
    DateExpected,
    IdentityExpected,
    ReadingExpected,
)
from handsfree.task.limits.forms import Bounds, Verdict
from handsfree.task.model import Task
from handsfree.task.step import Step
from handsfree.task.validity import DateVerdict


class Mark(Enum):
    """The sign beside a verdict: its shape says the same as its words."""

    GOOD = "good"
    LOW = "low"
    HIGH = "high"
    BAD = "bad"
    NOTED = "noted"  # there is no verdict: the task does not say what is right
    VOID = "void"


class Standing(Enum):
    """What became of a value."""

    WAITING = "waits for affirm"
    TAKEN = "taken"
    HELD = "waits for the inspector"
    CONFIRMED = "confirmed"
    NOT_ACCEPTED = "not accepted"
    REJECTED = "rejected"
    TAKEN_BACK = "taken back"
    UNDONE = "undone"


@dataclass(frozen=True, slots=True)
class LastValue:
    """A value as it is shown."""

    step: str  # the id of the step that took it
    number: int  # of that step, from 1
    name: str  # what was measured or read
    text: str  # figures and unit, or the identity
    verdict: str
    mark: Mark
    limits: str  # "2910 to 3140 psi"; empty: none are to be shown
    standing: Standing


def value_after(
    value: LastValue | None, task: Task, state: State, entry: Entry
) -> LastValue | None:
    """The last value once `entry` has been decided; `state` is what the decision led to."""
    match entry:
        case ReadingTaken() | ReadingRefused() | IdentityRead() | DateRead() | ChoiceMade():
            at = task.index_of[entry.step]
            return _stated(at + 1, task.steps[at], state, entry)
        case _:
            return None if value is None else _what_became_of(value, state, entry)


def _what_became_of(value: LastValue, state: State, entry: Entry) -> LastValue:
    match entry:
        # A value outside its limits can be affirmed too, and then lead on from the step.
        case StepConfirmed(step) | StepLeft(step) if step == value.step:
            if value.standing in (Standing.WAITING, Standing.TAKEN, Standing.HELD):
                return replace(value, standing=Standing.CONFIRMED)
        case InspectionCalled(step) if step == value.step:
            return replace(value, standing=Standing.HELD)
        case InspectionPassed(step) if step == value.step:
            return value  # `StepConfirmed` follows
        case InspectionRejected(step) if step == value.step:
            return _no_longer(value, Standing.REJECTED, Mark.BAD)
        case WentBack() if value.step not in state.done:
            return _no_longer(value, Standing.UNDONE, Mark.VOID)
    waits_no_more = (value.standing is Standing.WAITING and state.pending is None) or (
        value.standing is Standing.HELD and state.this_step.uninspected is None
    )
    return _no_longer(value, Standing.TAKEN_BACK, Mark.VOID) if waits_no_more else value


def _no_longer(value: LastValue, standing: Standing, mark: Mark) -> LastValue:
    return replace(value, standing=standing, verdict=standing.value, mark=mark)


def _stated(
    number: int,
    step: Step,
    state: State,
    entry: ReadingTaken | ReadingRefused | IdentityRead | DateRead | ChoiceMade,
) -> LastValue:
    waiting = Standing.NOT_ACCEPTED if state.pending is None else Standing.WAITING
    match entry:
        case ReadingTaken():
            # As it was said and is read back, which can be on another scale of the gauge.
            text = f"{entry.figures} {symbol_of(entry.scale or entry.unit)}"
            mark = _MARKS[entry.verdict]
            verdict, limits, standing = entry.verdict.value, _limits(step, entry), waiting
        case ReadingRefused():
            text = f"{entry.figures} {symbol_of(entry.unit or '')}".rstrip()
            verdict, mark, limits = entry.reason, Mark.BAD, ""
            standing = Standing.NOT_ACCEPTED
        case IdentityRead():
            # The right one is not shown: it would be an invitation to read it off the board.
            text, limits, standing = entry.characters, "", waiting
            named = isinstance(step.expect, IdentityExpected) and bool(step.expect.accept)
            mark, verdict = _found(entry.accepted, named, "named by the task")
            if entry.reason not in ("", NotUsable.NOT_NAMED.value):
                verdict = entry.reason
        case DateRead():
            text, limits, standing = entry.said, "", waiting
            mark = Mark.GOOD if entry.verdict is DateVerdict.IN_DATE else Mark.BAD
            verdict = entry.verdict.value
        case ChoiceMade():
            text, limits = entry.choice, ""
            needed = isinstance(step.expect, ChoiceExpected) and bool(step.expect.required)
            mark, verdict = _found(entry.accepted, needed, "what the task needs")
            standing = Standing.TAKEN if entry.accepted else Standing.NOT_ACCEPTED
    return LastValue(entry.step, number, _name(step), text, verdict, mark, limits, standing)


def _found(accepted: bool, compared: bool, right: str) -> tuple[Mark, str]:
    """What is found is good only where it was compared with what the task says is right."""
    if not accepted:
        return Mark.BAD, f"not {right}"
    return (Mark.GOOD, right) if compared else (Mark.NOTED, "written down")


_MARKS = {Verdict.INSIDE: Mark.GOOD, Verdict.BELOW: Mark.LOW, Verdict.ABOVE: Mark.HIGH}


def _name(step: Step) -> str:
    match step.expect:
        case ReadingExpected():
            return step.expect.reading
        case IdentityExpected():
            return step.expect.identity
        case DateExpected():
            return step.expect.date
    return "choice"


def _limits(step: Step, taken: ReadingTaken) -> str:
    """The limits in force, as the lowest and highest values that can be read and are inside."""
    if not isinstance(step.expect, ReadingExpected):
        return ""
    bounds = Bounds(
        None if taken.lowest is None else Fraction(taken.lowest),
        None if taken.highest is None else Fraction(taken.highest),
    )
    lowest = bounds.lowest_readable(step.expect.resolution)
    highest = bounds.highest_readable(step.expect.resolution)
    unit = symbol_of(taken.unit)
    if lowest is None:
        return f"at most {highest:f} {unit}" if highest is not None else ""
    if highest is None:
        return f"at least {lowest:f} {unit}"
    if lowest == highest:
        return f"exactly {lowest:f} {unit}"
    return f"{lowest:f} to {highest:f} {unit}"
