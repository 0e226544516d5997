"""Safety practice in a task: what many would do otherwise. It is told and does not stop a run.

None of it is a rule that every task can keep, so each is told with its reason, and the author may
answer it in place with `because`. Where no source is named it is common practice, no source.
"""

import re
from collections.abc import Iterator
from decimal import Decimal

from handsfree.task.checks.references import states_said
from handsfree.task.course import ABOVE, BELOW
from handsfree.task.expectations import ConfirmExpected, IdentityExpected, ReadingExpected
from handsfree.task.limits.forms import TorqueLimits, fixed_part
from handsfree.task.model import Task
from handsfree.task.problems import Problem
from handsfree.task.source import Path, Source
from handsfree.task.step import Step

# What can end a life or maim. Words that only tell of damage or of lesser harm are not here.
_LETHAL = re.compile(
    r"\b(?:kill\w*|death\w*|deadly|lethal\w*|fatal\w*|dies?|crush\w*|amputat\w*|sever|electrocut\w*|asphyxiat\w*|suffocat\w*)"
    r"\b",
    re.IGNORECASE,
)
_TORQUE_TOOL = re.compile(r"torque|wrench", re.IGNORECASE)
_ANY_ZERO = frozenset({"temperature", "temperature difference"})
"""Quantities whose size says little of how wrong a figure is, where their limits come near zero."""

_MOST_MARKS = 500  # of one scale; more are tried at even distances


def practice(task: Task, source: Source) -> Iterator[Problem]:
    """Everything in `task` that safety practice would have otherwise, in no order."""
    for at, step in enumerate(task.steps):
        path: Path = ("steps", at)
        yield from _lethal_words(step, source, path)
        yield from _torque_without_wrench(task, step, source, path)
        yield from _wide_limits(step, source, path)
        yield from _set_by_what_is_outside(step, source, path)
    yield from _said_for_two_things(task, source)
    yield from _says_another_state(task, source)
    for name in task.states:
        yield from _never_proved(task, name, source)


def _lethal_words(step: Step, source: Source, path: Path) -> Iterator[Problem]:
    """S1000D and ASD-STE100 7.1 keep warnings for harm to persons, cautions for damage."""
    for text in step.caution:
        if found := _LETHAL.search(text):
            yield source.problem(
                (*path, "caution"),
                f"a caution of step '{step.id}' speaks of '{found.group(0)}', and a caution is "
                "about damage (ASD-STE100 7.1)",
                "Write it as a warning",
            )
    for text in step.warning:
        found = _LETHAL.search(text)
        if found and not step.critical and step.expect is not None:
            yield source.problem(
                (*path, "warning"),
                f"a warning of step '{step.id}' speaks of '{found.group(0)}', and the step is not "
                "critical: a doubtful answer is believed there as anywhere",
                "Write 'critical: true', or why not as 'because'",
            )


def _torque_without_wrench(task: Task, step: Step, source: Source, path: Path) -> Iterator[Problem]:
    expected = step.expect
    if not (step.critical and isinstance(expected, ReadingExpected)):
        return
    if expected.reading != "torque" and not isinstance(expected.limits, TorqueLimits):
        return
    named = {each.id: each for each in task.equipment}
    tools = [named[each] for each in step.uses if each in named]
    if not any(_TORQUE_TOOL.search(each.name) for each in tools):
        yield source.problem(
            (*path, "uses") if step.uses else (*path, "expect"),
            f"the critical torque of step '{step.id}' has no torque wrench among 'uses': nothing "
            "proves that the wrench is in calibration",
            "Name the torque wrench in 'uses', with an 'id' under 'equipment'",
        )
    elif not any(each.calibrated for each in tools):
        yield source.problem(
            (*path, "uses"),
            f"the critical torque of step '{step.id}' is measured with a tool that carries no "
            "calibration date",
            "Write 'calibrated: true' at the torque wrench under 'equipment'",
        )


def _wide_limits(step: Step, source: Source, path: Path) -> Iterator[Problem]:
    """A figure that is dropped or said twice is the commonest slip in a number.

    Only figures before the decimal point: behind it, a figure that is missing hardly moves a value.
    """
    expected = step.expect
    if not isinstance(expected, ReadingExpected) or expected.reading == "count":
        return
    limits = fixed_part(expected.limits)
    if limits is None or (expected.reading in _ANY_ZERO and (limits.min or 0) < 10):
        return
    path = (*path, "expect", "limits")
    if limits.min is None or limits.max is None:
        if step.critical or step.read_back:
            open_end = "min" if limits.min is None else "max"
            slip = "dropped" if limits.min is None else "said twice"
            yield source.problem(
                path,
                f"the limits have no {open_end}, so a value with a figure {slip} passes",
                f"Write a {open_end}, if only what the gauge can show",
            )
        return
    if expected.words_twice or step.read_back:
        return
    found = _passing_slip(limits.min, limits.max, expected.resolution)
    if found is not None:
        value, heard, how = found
        yield source.problem(
            path,
            f"the limits are so wide that {value:f} with a figure {how} passes, as {heard:f}",
            "Write narrower limits, or have it said twice ('words_twice') or by two ('read_back')",
        )


def _passing_slip(
    low: Decimal, high: Decimal, resolution: Decimal
) -> tuple[Decimal, Decimal, str] | None:
    """A mark inside, what it becomes by one slip, and which; None where no slip stays inside."""
    for value in _marks(low, high, resolution):
        whole, point, decimals = f"{abs(value):f}".partition(".")
        sign = -1 if value < 0 else 1
        slips = [(whole[:at] + whole[at + 1 :], "dropped") for at in range(len(whole))]
        slips += [(whole[:at] + whole[at] + whole[at:], "said twice") for at in range(len(whole))]
        for figures, how in slips:
            if not figures:
                continue
            heard = sign * Decimal(figures + point + decimals)
            if heard != value and low <= heard <= high and not heard % resolution:
                return value, heard, how
    return None


def _marks(low: Decimal, high: Decimal, resolution: Decimal) -> Iterator[Decimal]:
    """Marks of a scale between two limits, the highest first."""
    first, last = -(-low // resolution), high // resolution
    number = int(last - first)
    apart = -(-(number + 1) // _MOST_MARKS)
    yield from (int(last - at) * resolution for at in range(0, number + 1, apart))


def _set_by_what_is_outside(step: Step, source: Source, path: Path) -> Iterator[Problem]:
    for outcome in (BELOW, ABOVE):
        if outcome in step.then and step.then[outcome].sets:
            states = ", ".join(f"'{name}'" for name in step.then[outcome].sets)
            yield source.problem(
                (*path, "then", outcome, "sets"),
                f"a reading outside its limits, '{outcome}', leads on and sets {states}: nobody "
                "confirms it",
                "Lead to a step that a person confirms, and set it there",
            )


def _said_for_two_things(task: Task, source: Source) -> Iterator[Problem]:
    """A phrase that sets a state, and that also confirms a step which does not set it.

    Heard late, or said too early, it then confirms what it was not said for.
    """
    setting: dict[str, Step] = {}
    for step in task.steps:
        if isinstance(step.expect, ConfirmExpected) and step.sets:
            setting.setdefault(step.expect.confirm, step)
    for at, step in enumerate(task.steps):
        other = (
            setting.get(step.expect.confirm) if isinstance(step.expect, ConfirmExpected) else None
        )
        if other is None or other is step or step.sets == other.sets:
            continue
        changes = ", ".join(f"{name} {value}" for name, value in other.sets.items())
        yield source.problem(
            ("steps", at, "expect"),
            f"the phrase of step '{step.id}' also confirms step '{other.id}', which sets {changes}",
            "Write another phrase here: one that is heard late confirms the wrong step",
        )


def _says_another_state(task: Task, source: Source) -> Iterator[Problem]:
    """A phrase that says what one state is, at a step that sets another."""
    says = states_said(task)
    for at, step in enumerate(task.steps):
        if not isinstance(step.expect, ConfirmExpected) or step.expect.confirm not in says:
            continue
        name, value = says[step.expect.confirm]
        others = [each.id for each in task.steps if each.sets.get(name) == value]
        if step.sets and name not in step.sets and others:
            changes = ", ".join(f"{state} {new}" for state, new in step.sets.items())
            yield source.problem(
                ("steps", at, "expect"),
                f"'{step.expect.confirm}' says what step '{others[0]}' sets, and step "
                f"'{step.id}' sets {changes}",
                "Write a phrase that says what is done here",
            )


def _never_proved(task: Task, name: str, source: Source) -> Iterator[Problem]:
    """A state that safety rests on and only words confirm: one that is misheard puts it wrong."""
    ruled = any(name in rule.when for rule in task.never)
    critical = any(step.critical and name in {*step.sets, *step.needs} for step in task.steps)
    if not (ruled or critical):
        return
    setting = [step for step in task.steps if name in step.sets]
    if setting and not any(_proves(step) for step in setting):
        yield source.problem(
            ("states", name),
            f"no reading, identity or inspection ever proves '{name}', which "
            f"{'a never rule' if ruled else 'a critical step'} rests on",
            "Add 'inspection: true', or a reading, to a step that sets it; or write why not as "
            "'because'",
        )


def _proves(step: Step) -> bool:
    return step.inspection or isinstance(step.expect, ReadingExpected | IdentityExpected)
