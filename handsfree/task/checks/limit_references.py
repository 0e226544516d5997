"""Checks of limits against the readings that they rest on.

Each reading is taken before, is in the unit that is said of it, and cannot take a value at which
there would be no limits. What these checks let pass has limits in every run.
"""

from collections.abc import Iterable, Iterator, Mapping
from decimal import Decimal
from fractions import Fraction
from itertools import product

from handsfree.task.expectations import ReadingExpected
from handsfree.task.limits.combined import THIS
from handsfree.task.limits.forms import (
    CombinedLimits,
    DropLimits,
    FixedLimits,
    GasLimits,
    NoLimits,
    OneLimit,
    SeveralLimits,
    TableLimits,
    TorqueLimits,
    fixed_part,
    parts_of,
)
from handsfree.task.limits.measured import to_si
from handsfree.task.model import Task
from handsfree.task.problems import Problem
from handsfree.task.source import Path, Source


def check_limits(task: Task, source: Source) -> Iterator[Problem]:
    """Every problem of limits that rest on earlier readings, and of impossible temperatures."""
    yield from _tables(task, source)
    taken: dict[str, ReadingExpected] = {}
    for at, step in enumerate(task.steps):
        if not isinstance(step.expect, ReadingExpected):
            continue
        for path, limits in _parts(at, step.expect):
            yield from _below_absolute_zero(step.expect, limits, source, path)
            problems = list(_readings(step.expect, limits, taken, source, path))
            # Without the readings there is nothing to try.
            yield from problems or _without_limits(limits, taken, source, path)
        taken[step.id] = step.expect
        if step.id == THIS:
            yield source.problem(
                ("steps", at, "id"), f"'{THIS}' is no name for a step", "Name what is read"
            )


def _parts(at: int, expected: ReadingExpected) -> Iterator[tuple[Path, OneLimit]]:
    """The limits of a reading one by one, each with its place."""
    path: Path = ("steps", at, "expect", "limits")
    several = isinstance(expected.limits, SeveralLimits)
    for number, limits in enumerate(parts_of(expected.limits)):
        yield (*path, number) if several else path, limits


def _tables(task: Task, source: Source) -> Iterator[Problem]:
    """A table's other reading is taken before, and cannot leave the table."""
    taken: dict[str, ReadingExpected] = {}
    for at, step in enumerate(task.steps):
        if not isinstance(step.expect, ReadingExpected):
            continue
        for path, limits in _parts(at, step.expect):
            if not isinstance(limits, TableLimits):
                continue
            other = taken.get(limits.over)
            if other is None:
                yield _not_taken(limits.over, taken, source, (*path, "over"))
            elif not _stays_inside(other, limits):
                yield source.problem(
                    (*path, "table"),
                    f"the limits of '{limits.over}' allow values outside this table",
                    f"Give '{limits.over}' a min and max within {limits.first} to {limits.last}",
                )
        taken[step.id] = step.expect


def _stays_inside(other: ReadingExpected, table: TableLimits) -> bool:
    limits = fixed_part(other.limits)
    return (
        limits is not None
        and limits.min is not None
        and limits.max is not None
        and table.first <= limits.min
        and limits.max <= table.last
    )


def _not_taken(name: str, taken: Iterable[str], source: Source, path: Path) -> Problem:
    return source.problem(
        path,
        f"no earlier step '{name}' takes a reading",
        f"Earlier readings: {', '.join(taken) or 'none yet'}",
    )


def _readings(
    expected: ReadingExpected,
    limits: OneLimit,
    taken: Mapping[str, ReadingExpected],
    source: Source,
    path: Path,
) -> Iterator[Problem]:
    if isinstance(limits, FixedLimits | TableLimits):
        return
    own = expected.unit if isinstance(limits, CombinedLimits) else limits.unit
    if own != expected.unit:
        yield source.problem(
            (*path, "wrench" if isinstance(limits, TorqueLimits) else "scale"),
            f"the limits are in {own}, but this reading is in {expected.unit}",
            "Write both in the unit of the gauge or wrench",
        )
    for name in limits.earlier:
        needed = _unit_needed(limits, name, own)
        if name not in taken:
            yield _not_taken(name, taken, source, (*path, *_key(limits, name)))
        elif taken[name].unit != needed:
            yield source.problem(
                (*path, *_key(limits, name)),
                f"step '{name}' reads in {taken[name].unit}, but here it must be {needed}",
                "Write one unit in both",
            )


def _unit_needed(limits: OneLimit, name: str, own: str) -> str:
    """The unit that the earlier step `name` must read in."""
    if isinstance(limits, DropLimits):
        return limits.unit_of(name)
    return limits.over_unit if isinstance(limits, GasLimits) else own


def _key(limits: OneLimit, name: str) -> Path:
    """Where the limits name the earlier step `name`."""
    if isinstance(limits, DropLimits):
        return limits.key_of(name)
    if isinstance(limits, TorqueLimits):
        return ("prevailing", "over")
    return ("of",) if isinstance(limits, CombinedLimits) else ("over",)


def _without_limits(
    limits: OneLimit, taken: Mapping[str, ReadingExpected], source: Source, path: Path
) -> Iterator[Problem]:
    """Of the other readings, their ends are enough: between them there are limits as well."""
    if not isinstance(limits, GasLimits | TorqueLimits | DropLimits):
        return
    known: dict[str, tuple[Decimal, Decimal]] = {}
    for name in limits.earlier:
        ends = fixed_part(taken[name].limits)
        if ends is None or ends.min is None or ends.max is None:
            yield source.problem(
                (*path, *_key(limits, name)),
                f"nothing holds '{name}' to values that have limits here",
                f"Give '{name}' a min and max",
            )
            continue
        known[name] = (ends.min, ends.max)
    if not limits.earlier or known.keys() != {*limits.earlier}:
        return
    for values in product(*known.values()):
        at = dict(zip(known, values, strict=True))
        try:
            limits.bounds(at)
        except NoLimits as none:
            first = limits.earlier[0]
            where = " and ".join(f"'{name}' is {value}" for name, value in at.items())
            yield source.problem(
                (*path, *_key(limits, first)),
                f"where {where} there are no limits: {none}",
                f"Give '{first}' a min and max within what is possible here",
            )
            if len(at) > 1:
                return  # at other ends of the same readings it is most likely the same mistake


def _below_absolute_zero(
    expected: ReadingExpected, limits: OneLimit, source: Source, path: Path
) -> Iterator[Problem]:
    if expected.reading != "temperature":
        return
    bounds: tuple[Decimal | None, ...] = ()
    if isinstance(limits, FixedLimits):
        bounds = (limits.min, limits.max)
    elif isinstance(limits, TableLimits):
        bounds = tuple(each for row in limits.table for each in (row.min, row.max))
    for bound in bounds:
        if bound is not None and to_si(bound, expected.unit) < Fraction(0):
            yield source.problem(
                path,
                f"{bound} {expected.unit} is below absolute zero",
                "Write a temperature that can be",
            )
