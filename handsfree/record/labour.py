"""How long the work took, by the running time of the task and not by the clock on the wall."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta

from handsfree.engine.entries import StepBegun, StoodBy, TaskEnded, WentOn
from handsfree.record.entries import LoggedEntry
from handsfree.record.values import kind_named

_BOUNDS = frozenset(kind_named(each) for each in (StepBegun, StoodBy, WentOn, TaskEnded))


@dataclass(frozen=True, slots=True)
class Labour:
    """The time of one step, over all its beginnings."""

    step: str
    work: timedelta
    stand_by: timedelta  # from "stand by", or what led to it, to "go ahead"


def labour(entries: Iterable[LoggedEntry]) -> tuple[Labour, ...]:
    """The time of each step that was begun, in the order of the first beginnings.

    A step lasts from the moment it was first spoken to the moment the next one is; what is said
    before the first step and after the last belongs to none. While no program runs, no time passes.
    """
    work: dict[str, timedelta] = {}
    stand_by: dict[str, timedelta] = {}
    step: str | None = None
    stands_by = False
    since = timedelta(0)
    for entry in entries:
        if step is not None:
            times = stand_by if stands_by else work
            times[step] = times.get(step, timedelta(0)) + entry.offset - since
        since = entry.offset
        if entry.kind not in _BOUNDS:
            continue
        match entry.value:
            case StepBegun(step=begun):
                step, stands_by = begun, False
                work.setdefault(begun, timedelta(0))
            case StoodBy():
                stands_by = True
            case WentOn():
                stands_by = False
            case TaskEnded():
                step = None
    return tuple(Labour(each, work[each], stand_by.get(each, timedelta(0))) for each in work)
