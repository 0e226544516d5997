"""Limits held against the scale that they are read on."""

from collections.abc import Iterator, Mapping
from decimal import Decimal
from fractions import Fraction
from itertools import islice

from handsfree.task.expectations import ReadingExpected
from handsfree.task.limits.bounds import Readings
from handsfree.task.limits.forms import (
    Bounds,
    GasLimits,
    NoLimits,
    TableLimits,
    fixed_part,
    parts_of,
)
from handsfree.task.model import Task
from handsfree.task.problems import Problem
from handsfree.task.source import Path, Source
from handsfree.words.units import conversion

_MOST_MARKS = 2_000  # of the other reading's scale; more are not looked at one by one
_MOST_TRIED = 20_000  # of computed limits, in a whole file: about a second
_GAS_COSTS = 10  # as much as other limits: an isochore takes most of a millisecond
_MOST_TOGETHER = 12  # readings that one limit comes from; with more it is not tried
_OPEN_MARKS = 10  # of a reading that is only limited on one side, from there


def scale_problems(task: Task, source: Source) -> Iterator[Problem]:
    """Limits that no reading can meet: the task could not go on."""
    taken: dict[str, ReadingExpected] = {}
    most = _tried_for_each(task)
    for at, step in enumerate(task.steps):
        expected = step.expect
        if not isinstance(expected, ReadingExpected):
            continue
        path: Path = ("steps", at, "expect", "limits")
        limits = expected.limits
        if not limits.earlier:
            if not _has_mark(limits.bounds({}), expected):
                yield source.problem(
                    path,
                    f"no mark of a scale in steps of {expected.resolution} is inside these limits",
                    "Mend the limits or the resolution",
                )
        elif isinstance(limits, TableLimits):
            marks = _marks(taken[limits.over], limits) if limits.over in taken else iter(())
            for other in marks:
                if not _has_mark(limits.bounds({limits.over: other}), expected):
                    yield source.problem(
                        (*path, "table"),
                        f"at {other} no mark of a scale in steps of {expected.resolution} is "
                        "inside these limits",
                        "Mend the table or the resolution",
                    )
                    break
        elif taken.keys() >= {*limits.earlier}:
            unread = _without_mark(expected, taken, most)
            if unread is not None:
                where = " and ".join(f"'{name}' is {unread[name]}" for name in limits.earlier)
                yield source.problem(
                    path,
                    f"where {where} no mark of a scale in steps of {expected.resolution} is "
                    "inside these limits",
                    "Mend the limits or the resolution",
                )
        taken[step.id] = expected


def scale_advice(task: Task, source: Source) -> Iterator[Problem]:
    """Limits that lie between two marks of their scale: nobody can read them off."""
    for at, step in enumerate(task.steps):
        expected = step.expect
        if not isinstance(expected, ReadingExpected):
            continue
        limits, resolution = fixed_part(expected.limits), expected.resolution
        if limits is None:
            continue  # between its rows a table's limits lie anywhere on the scale
        for key, limit in (("min", limits.min), ("max", limits.max)):
            if limit is not None and Fraction(limit) % Fraction(resolution):
                yield source.problem(
                    ("steps", at, "expect", "limits", key),
                    f"{key} {limit} lies between two marks of a scale in steps of {resolution}",
                    "Write a limit that the scale can show, or mend the resolution",
                )


def _tried_for_each(task: Task) -> int:
    """How many readings are tried for each computed limit, so that a long file takes no longer."""
    computed = sum(
        isinstance(step.expect, ReadingExpected) and bool(step.expect.limits.earlier)
        for step in task.steps
    )
    return min(max(_MOST_TRIED // max(computed, 1), 2 * _GAS_COSTS), _MOST_MARKS)


def _without_mark(
    expected: ReadingExpected, taken: Mapping[str, ReadingExpected], most: int
) -> Readings | None:
    """Earlier readings, each inside its own limits, at which no mark lies inside; None if none.

    All marks of the earlier scales are tried where there are at most `most`, else their ends and as
    many between them. So what is found is a fault, and where there are very many one can be missed.
    """
    needed = _rested_on(expected, taken)
    if len(needed) > _MOST_TOGETHER:
        return None
    isochores = any(
        isinstance(part, GasLimits)
        for each in (expected, *needed.values())
        for part in parts_of(each.limits)
    )
    tried = most // _GAS_COSTS if isochores else most
    of_each = max(round(tried ** (1 / len(needed))), 2)
    for readings in islice(_readings(tuple(needed.items()), {}, of_each), tried):
        try:
            bounds = expected.limits.bounds(readings)
        except NoLimits:
            continue  # said when it happens: readings that are too far apart, for one
        if not _has_mark(bounds, expected):
            return readings
    return None


def _rested_on(
    expected: ReadingExpected, taken: Mapping[str, ReadingExpected]
) -> dict[str, ReadingExpected]:
    """The readings that the limits of `expected` come from, and those behind them, in order."""
    needed: set[str] = set()
    waiting = list(expected.limits.earlier)
    while waiting and len(needed) <= _MOST_TOGETHER:
        name = waiting.pop()
        if name in taken and name not in needed:
            needed.add(name)
            waiting += taken[name].limits.earlier
    return {name: each for name, each in taken.items() if name in needed}


def _readings(
    needed: tuple[tuple[str, ReadingExpected], ...], so_far: Readings, of_each: int
) -> Iterator[Readings]:
    """Values of all the readings that are `needed`, each inside its limits at those before it."""
    if not needed:
        yield so_far
        return
    (name, expected), *rest = needed
    try:
        bounds = expected.limits.bounds(so_far)
    except NoLimits:
        return
    for value in _values(bounds, expected.resolution, of_each):
        yield from _readings(tuple(rest), {**so_far, name: value}, of_each)


def _values(bounds: Bounds, resolution: Decimal, most: int) -> Iterator[Decimal]:
    """Marks inside `bounds`, at most `most`: both ends first, then evenly between them."""
    lowest, highest = bounds.lowest_readable(resolution), bounds.highest_readable(resolution)
    if lowest is None and highest is None:
        return
    beyond = (_OPEN_MARKS - 1) * resolution
    if lowest is None:
        assert highest is not None
        lowest = highest - beyond
    if highest is None:
        highest = lowest + beyond
    last = int((highest - lowest) / resolution)
    if last < 0:
        return
    parts = min(most - 1, last)
    places = {0, last, *(last * part // parts for part in range(1, parts))}
    yield from (
        lowest + place * resolution
        for place in sorted(places, key=lambda n: n % last if last else n)
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
    limits = fixed_part(other.limits)
    if limits is not None and limits.min is not None and limits.max is not None:
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
