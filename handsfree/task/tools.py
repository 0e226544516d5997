"""The tools that steps use: which steps identify a tool and find it in calibration.

A calibrated tool may measure only after its number and its calibration date were read out. A rule
of EASA Part-145, 145.A.40(b): tools are controlled and calibrated to an officially recognised
standard, and records of it are kept (from memory). That the tool is named step by step is common
practice, no source.

Where the number is read `again`, only the number that was read first is taken. So what was found of
the tool, its date too, still holds after it, and the proof has nothing new to follow.
"""

from collections.abc import Iterator, Mapping

from handsfree.task.equipment import Equipment
from handsfree.task.expectations import DateExpected, IdentityExpected, ReadingExpected
from handsfree.task.limits.forms import FixedLimits
from handsfree.task.model import Task
from handsfree.task.problems import Problem
from handsfree.task.source import Path, Source
from handsfree.task.step import Step

EXPIRED = "expired"
"""The outcome of a date that is over."""


def cleared_by(task: Task, step: Step) -> tuple[str, ...]:
    """The ids of the steps that must have been done so that `step` may use its tools."""
    steps = [read.get(tool) for tool in step.uses for read in (task.number_of, task.date_of)]
    match step.expect:
        case DateExpected(tool=str(tool)) | IdentityExpected(tool=str(tool), again=True):
            steps.append(task.number_of.get(tool))
    return tuple(dict.fromkeys(each for each in steps if each is not None))


def counts_things_in(step: Step) -> bool:
    """Whether the step is answered by how many of something came back."""
    counts = isinstance(step.expect, ReadingExpected) and step.expect.reading == "count"
    return counts and bool(step.counts_in)


def check_tools(task: Task, source: Source) -> Iterator[Problem]:
    """Every problem with the names of tools, and with what is known of a tool before its use."""
    tools = {each.id: each for each in task.equipment if each.id is not None}
    yield from _ids(task, source)
    yield from _unknown_tools(task, source, tools)
    yield from _read_twice(task, source)
    for at, step in enumerate(task.steps):
        for tool in step.uses:
            if tool in tools:
                yield from _not_cleared(task, source, ("steps", at, "uses"), tools[tool])
        if isinstance(step.expect, DateExpected) and step.expect.tool in tools:
            yield from _date(task, source, at, tools[step.expect.tool])
        if isinstance(step.expect, IdentityExpected) and step.expect.again:
            yield from _again(task, source, at, tools.get(str(step.expect.tool)))
        yield from _count(task, source, at)


def _ids(task: Task, source: Source) -> Iterator[Problem]:
    first: set[str] = set()
    for at, each in enumerate(task.equipment):
        if each.id is None:
            continue
        if each.id in first or each.id in task.counted:
            yield source.problem(
                ("equipment", at, "id"), f"'{each.id}' is already a name", "Give each its own name"
            )
        first.add(each.id)


def _unknown_tools(task: Task, source: Source, tools: Mapping[str, Equipment]) -> Iterator[Problem]:
    known = ", ".join(tools) or "none; give one an 'id' under 'equipment'"
    named: list[tuple[Path, str]] = []
    for at, step in enumerate(task.steps):
        named += [(("steps", at, "uses"), each) for each in step.uses if each not in task.counted]
        if isinstance(step.expect, IdentityExpected | DateExpected) and step.expect.tool:
            named.append((("steps", at, "expect", "tool"), step.expect.tool))
    for name, item in task.counted.items():
        named += [(("counted", name, "tools"), each) for each in item.tools]
    for path, tool in named:
        if tool not in tools:
            yield source.problem(path, f"there is no tool '{tool}'", f"Known: {known}")


def _read_twice(task: Task, source: Source) -> Iterator[Problem]:
    first: dict[tuple[type, str], str] = {}
    for at, step in enumerate(task.steps):
        if not isinstance(step.expect, IdentityExpected | DateExpected) or not step.expect.tool:
            continue
        is_number = isinstance(step.expect, IdentityExpected)
        if isinstance(step.expect, IdentityExpected) and step.expect.again:
            continue
        key = (type(step.expect), step.expect.tool)
        if key in first:
            yield source.problem(
                ("steps", at, "expect", "tool"),
                f"step '{first[key]}' reads this of '{step.expect.tool}' already",
                _ANOTHER_NUMBER if is_number else _ANOTHER_DATE,
            )
        first.setdefault(key, step.id)


_ANOTHER_NUMBER = (
    "Add 'again: true' where the same tool is checked, or lead back to that step for another tool"
)
_ANOTHER_DATE = (
    "The date goes with the number: read that with 'again: true', or lead back for another tool"
)


def _again(task: Task, source: Source, at: int, tool: Equipment | None) -> Iterator[Problem]:
    """A number is read again only where a step read it first."""
    if tool is None:
        return  # `_unknown_tools` tells of it
    first = task.number_of.get(str(tool.id))
    if first is None:
        yield source.problem(
            ("steps", at, "expect", "again"),
            f"no other step reads the number of '{tool.id}', so nothing is read again",
            "Leave again out, or add an earlier step that reads it",
        )


def _not_cleared(task: Task, source: Source, path: Path, tool: Equipment) -> Iterator[Problem]:
    """What no step finds out of a calibrated tool that is used."""
    if not tool.calibrated or tool.id is None:
        return
    if tool.id not in task.number_of:
        yield _number_not_read(source, path, tool)
    if tool.id not in task.date_of:
        yield source.problem(
            path,
            f"no step reads the calibration date of '{tool.id}'",
            f"Add an earlier step with 'expect: {{date: calibration due, tool: {tool.id}}}'",
        )


def _number_not_read(source: Source, path: Path, tool: Equipment) -> Problem:
    return source.problem(
        path,
        f"no step reads the number of '{tool.id}'",
        f"Add an earlier step with 'expect: {{identity: ..., tool: {tool.id}}}'",
    )


def _date(task: Task, source: Source, at: int, tool: Equipment) -> Iterator[Problem]:
    path: Path = ("steps", at, "expect", "tool")
    if not tool.calibrated:
        yield source.problem(
            path, f"'{tool.id}' is not calibrated, so it has no date", "Write calibrated: true"
        )
    number = task.number_of.get(str(tool.id))
    if number is None:
        yield _number_not_read(source, path, tool)
        return
    leads = task.steps[at].then.get(EXPIRED)
    # Another tool has another number: with the old one on the record, its date would be a lie.
    if leads is not None and leads.go != number:
        yield source.problem(
            ("steps", at, "then", EXPIRED),
            f"'{EXPIRED}' leads on with the number of the tool that is out of date",
            f"Write '{EXPIRED}: {number}', where the number of another tool is read",
        )
    elif leads is None:
        yield source.problem(
            path,
            f"nothing says where the number of another tool is read when '{tool.id}' is expired",
            f"Add 'then: {{{EXPIRED}: {number}}}'",
        )


def _count(task: Task, source: Source, at: int) -> Iterator[Problem]:
    """Things that are counted in are counted by their number, and by no other."""
    step = task.steps[at]
    if not counts_things_in(step) or not isinstance(step.expect, ReadingExpected):
        return
    limits, path = step.expect.limits, ("steps", at, "expect", "limits")
    if len(step.counts_in) > 1:
        yield source.problem(
            ("steps", at, "counts_in"),
            "one number cannot count several things in",
            "Count each in a step of its own",
        )
        return
    name, number = next(iter(step.counts_in.items()))
    if not isinstance(limits, FixedLimits) or {limits.min, limits.max} != {number}:
        yield source.problem(
            path,
            f"the step counts {number} {name} in, but another number can be inside its limits",
            f"Write 'limits: {{min: {number}, max: {number}}}'",
        )
