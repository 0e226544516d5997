"""Limits held against the scale that they are read on."""

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

from handsfree.task.limits import Bounds, FixedLimits, TableLimits
from handsfree.task.model import ReadingExpected, Task
from handsfree.task.problems import Problem
from handsfree.task.source import Path, Source
from handsfree.words.units import conversion

_MOST_MARKS = 2_000  # of the other reading's scale; more are not looked at one by one


def scale_problems(task: Task, source: Source) -> Iterator[Problem]:
    """Limits that no reading can meet: the task could not go on."""
    taken: dict[str, ReadingExpected] = {}
    for at, step in enumerate(task.steps):
        expected = step.expect
        if not isinstance(expected, ReadingExpected):
            continue
        taken[step.id] = expected
        path: Path = ("steps", at, "expect", "limits")
        limits = expected.limits
        if isinstance(limits, FixedLimits):
            if not _has_mark(limits.bounds({}), expected):
                yield source.problem(
                    path,
                    f"no mark of a scale in steps of {expected.resolution} is inside these limits",
                    "Mend the limits or the resolution",
                )
        elif isinstance(limits, TableLimits) and limits.over in taken:
            for other in _marks(taken[limits.over], limits):
                if not _has_mark(limits.bounds({limits.over: other}), expected):
                    yield source.problem(
                        (*path, "table"),
                        f"at {other} no mark of a scale in steps of {expected.resolution} is "
                        "inside these limits",
                        "Mend the table or the resolution",
                    )
                    break


def scale_advice(task: Task, source: Source) -> Iterator[Problem]:
    """Limits that lie between two marks of their scale: nobody can read them off."""
    for at, step in enumerate(task.steps):
        expected = step.expect
        if not isinstance(expected, ReadingExpected):
            continue
        limits, resolution = expected.limits, expected.resolution
        if not isinstance(limits, FixedLimits):
            continue  # between the rows of a table, limits fall where they may
        for key, limit in (("min", limits.min), ("max", limits.max)):
            if limit is not None and Fraction(limit) % Fraction(resolution):
                yield source.problem(
                    ("steps", at, "expect", "limits", key),
                    f"{key} {limit} lies between two marks of a scale in steps of {resolution}",
                    "Write a limit that the scale can show, or mend the resolution",
                )


def _has_mark(bounds: Bounds, expected: ReadingExpected) -> bool:
    """Whether some mark of one of the gauge's scales lies inside."""
    scales = [(scale.unit, scale.resolution) for scale in expected.other_scales]
    for unit, resolution in ((expected.unit, expected.resolution), *scales):
        factor, offset = conversion(expected.unit, unit)
        lowest, highest = (
            None if bound is None else bound * factor + offset
            for bound in (bounds.lowest, bounds.highest)
        )
        there = Bounds(lowest, highest)
        first, last = there.lowest_readable(resolution), there.highest_readable(resolution)
        if first is None or last is None or first <= last:
            return True
    return False


def _marks(other: ReadingExpected, table: TableLimits) -> Iterator[Decimal]:
    """Every value that the other reading can have, or the rows where there are very many."""
    limits = other.limits
    if isinstance(limits, FixedLimits) and limits.min is not None and limits.max is not None:
        bounds = limits.bounds({})
        lowest = bounds.lowest_readable(other.resolution)
        highest = bounds.highest_readable(other.resolution)
        assert lowest is not None
        assert highest is not None
        number = int((highest - lowest) / other.resolution) + 1
        if number <= _MOST_MARKS:
            marks = (lowest + at * other.resolution for at in range(number))
            yield from (mark for mark in marks if table.first <= mark <= table.last)
            return
    yield from (row.at for row in table.table)
