"""How long the work took, by the running time of the task and not by the clock on the wall."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta

from handsfree.engine.entries import (
    FindingClosed,
    HandedOver,
    InspectionPassed,
    InspectionRejected,
    PersonIdentified,
    StepBegun,
    StoodBy,
    TaskEnded,
    WentOn,
)
from handsfree.engine.events import TakenUp
from handsfree.record.entries import LoggedEntry
from handsfree.task.roles import Role


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


@dataclass(frozen=True, slots=True)
class PersonLabour:
    """The time of one person in one role, from saying who they are to the end of their part."""

    name: str
    staff_number: str
    role: Role
    work: timedelta
    stand_by: timedelta


def labour_of_people(entries: Iterable[LoggedEntry]) -> tuple[PersonLabour, ...]:
    """The time of each person that was identified, in the order in which they came.

    A part ends with a handover, with the task, where the program ended, and for an inspector with
    the verdict. Who comes only to close a finding is not at work.
    """
    clock = _PeopleClock()
    for entry in entries:
        clock.pass_to(entry.offset)
        clock.take_in(entry.value)
    return tuple(
        PersonLabour(clock.names[number], number, role, work, stand_by)
        for (role, number), (work, stand_by) in clock.times.items()
    )


_Part = tuple[Role, str]  # and a staff number


class _PeopleClock:
    """Counts the running time for everybody who is present."""

    def __init__(self) -> None:
        self.names: dict[str, str] = {}
        self.times: dict[_Part, tuple[timedelta, timedelta]] = {}
        self._present: list[_Part] = []
        self._since = timedelta(0)
        self._stands_by = False
        self._came_last = False  # the last who was identified had not been here before

    def pass_to(self, now: timedelta) -> None:
        """Time has passed, for all that are here."""
        for part in self._present:
            work, stand_by = self.times.get(part, (timedelta(0), timedelta(0)))
            passed = now - self._since
            self.times[part] = (
                (work, stand_by + passed) if self._stands_by else (work + passed, stand_by)
            )
        self._since = now

    def take_in(self, value: object) -> None:
        """Somebody has come or gone, or all stand by."""
        match value:
            case PersonIdentified(role, number, name):
                self.names[number] = name
                self._came_last = (role, number) not in self._present
                if self._came_last:
                    self._present.append((role, number))
                    self.times.setdefault((role, number), (timedelta(0), timedelta(0)))
            case FindingClosed(by=by):
                self._only_to_close(by)
            case InspectionPassed() | InspectionRejected():
                self._present = [each for each in self._present if each[0] is not Role.INSPECTOR]
            case HandedOver() | TakenUp() | TaskEnded():
                self._present, self._stands_by = [], False
            case StoodBy():
                self._stands_by = True
            case WentOn():
                self._stands_by = False

    def _only_to_close(self, number: str) -> None:
        """The last one who came did so to close a finding, unless they were here before."""
        if self._present and self._present[-1][1] == number and self._came_last:
            del self.times[self._present.pop()]
