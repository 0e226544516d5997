"""What was stated last at the present step, with its verdict and what became of it.

Nothing here outlives its step, nor its pass through the step: a verdict that stands beside another
gauge is a wrong one. Where a second person reads a value too, an earlier one of the same step is
not shown either, for who has just read it looks for it again.
"""

from dataclasses import dataclass, replace
from enum import Enum
from fractions import Fraction

from handsfree.board.symbols import symbol_of
from handsfree.engine.entries import (
    ChoiceMade,
    DateRead,
    Entry,
    FirstStated,
    IdentityRead,
    InspectionCalled,
    InspectionRejected,
    ReadingRefused,
    ReadingTaken,
    StepConfirmed,
    StepLeft,
)
from handsfree.engine.on_file import NotUsable
from handsfree.engine.state import State
from handsfree.task.expectations import (
    ChoiceExpected,
    ConfirmExpected,
    DateExpected,
    Expectation,
    IdentityExpected,
    ReadingExpected,
)
from handsfree.task.limits.bounds import Bounds, NoLimits, Readings, Verdict
from handsfree.task.model import Task
from handsfree.task.step import Step
from handsfree.task.validity import DateVerdict


class Sign(Enum):
    """The sign beside a verdict: its shape says the same as its words."""

    GOOD = "good"
    LOW = "low"
    HIGH = "high"
    BAD = "bad"
    NOTED = "noted"  # there is no verdict: none is to be had, or it is another person's to give
    VOID = "void"


class Standing(Enum):
    """What became of a value."""

    WAITING = "waits for affirm"
    UNINSPECTED = "waits for the inspector"
    NOT_ACCEPTED = "not accepted"
    REJECTED = "rejected"
    TAKEN_BACK = "taken back"
    LEFT_OPEN = "left open when the run ended"


@dataclass(frozen=True, slots=True)
class LastValue:
    """A value as it is shown; before an inspection, also a phrase that reports work as done."""

    step: str  # the id of the step that took it
    number: int  # of that step, from 1
    name: str  # what was measured or read
    text: str  # figures and unit, the identity, or the phrase
    verdict: str
    mark: Sign
    limits: str  # "2910 to 3140 psi"; empty: none are to be shown
    standing: Standing


def value_after(
    value: LastValue | None, task: Task, state: State, entry: Entry
) -> LastValue | None:
    """What is shown once `entry` has been decided; `state` is what the decision led to."""
    match entry:
        case ReadingTaken() | ReadingRefused() | IdentityRead() | DateRead() | ChoiceMade():
            at = task.index_of[entry.step]
            value = _stated(at + 1, task.steps[at], state, entry)
        case InspectionCalled(step):
            at = task.index_of[step]
            value = _to_inspect(value, at + 1, task.steps[at])
        case FirstStated():
            # Until the second person has stated theirs, no value stands here at all.
            value = None
        case _ if value is not None:
            value = _what_became_of(value, task, state, entry)
    return of_present_step(value, state)


def left_open(value: LastValue) -> LastValue:
    """A value of a run that has ended: nobody will affirm or inspect it any more."""
    if value.standing not in (Standing.WAITING, Standing.UNINSPECTED):
        return value
    return replace(value, standing=Standing.LEFT_OPEN, verdict="reported", mark=Sign.NOTED)


def of_present_step(value: LastValue | None, state: State) -> LastValue | None:
    """The value, where it is one of the step at which the run stands; else None."""
    return value if value is not None and value.number == state.step + 1 else None


def _to_inspect(value: LastValue | None, number: int, step: Step) -> LastValue | None:
    """What was reported, for the inspector to look at.

    It carries no verdict and no tick: what was expected shapes what is seen, and it is the
    inspector who says what is so.
    """
    if isinstance(step.expect, ConfirmExpected):
        phrase = step.expect.confirm
        return LastValue(
            step.id, number, "work", phrase, "reported", Sign.NOTED, "", Standing.UNINSPECTED
        )
    if value is None:
        return None
    return replace(value, standing=Standing.UNINSPECTED, verdict="reported", mark=Sign.NOTED)


def _what_became_of(value: LastValue, task: Task, state: State, entry: Entry) -> LastValue | None:
    match entry:
        # A task can lead back to the step that was left; what comes then is another reading.
        case StepConfirmed(step) | StepLeft(step) if step == value.step:
            return None
        case InspectionRejected(step) if step == value.step:
            return _no_longer(value, Standing.REJECTED, Sign.BAD)
    waits_no_more = (value.standing is Standing.WAITING and state.pending is None) or (
        value.standing is Standing.UNINSPECTED and state.this_step.uninspected is None
    )
    if not waits_no_more:
        return value
    if task.steps[value.number - 1].read_back:
        return None
    return _no_longer(value, Standing.TAKEN_BACK, Sign.VOID)


def _no_longer(value: LastValue, standing: Standing, mark: Sign) -> LastValue:
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
            verdict, standing = entry.verdict.value, waiting
            if entry.judged is not None:
                verdict = f"{entry.judged} {symbol_of(entry.unit)} {verdict}"
            limits = _in_words(step.expect, _bounds_of(entry))
        case ReadingRefused():
            text = f"{entry.figures} {symbol_of(entry.unit or '')}".rstrip()
            if step.read_back:
                # Said once, or finer than the scale, it is still what the second person must not
                # see before they look.
                text = "a value"
            verdict, mark, limits = entry.reason, Sign.BAD, ""
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
            mark = Sign.GOOD if entry.verdict is DateVerdict.IN_DATE else Sign.BAD
            verdict = entry.verdict.value
        case ChoiceMade():
            text, limits, standing = entry.choice, "", waiting
            needed = isinstance(step.expect, ChoiceExpected) and bool(step.expect.required)
            mark, verdict = _found(entry.accepted, needed, "what the task needs")
    return LastValue(entry.step, number, _name(step), text, verdict, mark, limits, standing)


def _found(accepted: bool, compared: bool, right: str) -> tuple[Sign, str]:
    """What is found is good only where it was compared with what the task says is right."""
    if not accepted:
        return Sign.BAD, f"not {right}"
    return (Sign.GOOD, right) if compared else (Sign.NOTED, "written down")


_MARKS = {Verdict.INSIDE: Sign.GOOD, Verdict.BELOW: Sign.LOW, Verdict.ABOVE: Sign.HIGH}


def _name(step: Step) -> str:
    match step.expect:
        case ReadingExpected():
            return step.expect.reading
        case IdentityExpected():
            return step.expect.identity
        case DateExpected():
            return step.expect.date
    return "choice"


def limits_before(step: Step, readings: Readings) -> str:
    """The limits that a reading of this step will be held against; empty: none are to be shown.

    Where only one value is inside, it is not shown: a count that is known first is not counted.
    """
    if not isinstance(step.expect, ReadingExpected):
        return ""
    try:
        bounds = step.expect.limits.bounds(readings)
    except NoLimits:
        return ""
    resolution = step.expect.resolution
    if bounds.lowest_readable(resolution) == bounds.highest_readable(resolution):
        return ""
    return _in_words(step.expect, bounds)


def _bounds_of(taken: ReadingTaken) -> Bounds:
    return Bounds(
        None if taken.lowest is None else Fraction(taken.lowest),
        None if taken.highest is None else Fraction(taken.highest),
    )


def _in_words(expected: Expectation | None, bounds: Bounds) -> str:
    """The limits in force, as the lowest and highest values that can be read and are inside."""
    if not isinstance(expected, ReadingExpected):
        return ""
    lowest = bounds.lowest_readable(expected.resolution)
    highest = bounds.highest_readable(expected.resolution)
    unit = symbol_of(expected.unit)
    if lowest is None:
        return f"at most {highest:f} {unit}" if highest is not None else ""
    if highest is None:
        return f"at least {lowest:f} {unit}"
    if lowest == highest:
        return f"exactly {lowest:f} {unit}"
    return f"{lowest:f} to {highest:f} {unit}"
