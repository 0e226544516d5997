"""Who was there in which role, when nobody was, and how the work went from one person to another.

Somebody is there from when they are identified until another one is in the same role, the work is
handed over, or the program ends. While no program runs, no running time passes: how long that was,
only the clock on the wall tells.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from handsfree.engine.entries import HandedOver
from handsfree.engine.events import TakenUp
from handsfree.record.entries import LoggedEntry
from handsfree.record.in_words import clock
from handsfree.record.marks import Resumed, TailCut
from handsfree.record.speakers import Crew, Speaker
from handsfree.task.roles import Role

Local = Callable[[datetime], datetime]


@dataclass(frozen=True, slots=True)
class There:
    """A time in which one person had a role, or nobody had it any more."""

    role: Role
    begin: timedelta
    end: timedelta
    who: str  # "" while nobody had it
    entry: int


@dataclass(frozen=True, slots=True)
class Change:
    """One time that the work went over to somebody else, or stood while no program ran."""

    entry: int
    at: datetime
    begin: timedelta
    end: timedelta  # when a technician was identified again; else of the record
    led_to_it: str  # such as "handed over by Tarn Osk (OA417)"
    to: str  # who took it up; "" where nobody is known to have

    @property
    def told(self) -> str:
        """All of it in a line."""
        if not self.to:
            return f"{self.led_to_it}; nobody is on the record as having taken it up"
        return f"{self.led_to_it}; taken up by {self.to}"


@dataclass(slots=True)
class _Watch:
    """What is open while the entries are gone through."""

    there: dict[Role, There] = field(default_factory=dict)
    found: list[There] = field(default_factory=list)
    changes: list[Change] = field(default_factory=list)
    is_open: bool = False  # the last change: nobody has taken the work up yet

    def now_present(self, present: Mapping[Role, Speaker], entry: LoggedEntry) -> None:
        for role in Role:
            who = present[role].person if role in present else ""
            before = self.there.get(role)
            if before is None and not who:
                continue  # nobody has had it so far
            if before is None or before.who != who:
                if before is not None:
                    self._end(before, entry.offset)
                self.there[role] = There(role, entry.offset, entry.offset, who, entry.seq)
        if self.is_open and Role.TECHNICIAN in present:
            to = present[Role.TECHNICIAN].person
            self.changes[-1] = replace(self.changes[-1], end=entry.offset, to=to)
            self.is_open = False

    def change(self, entry: LoggedEntry, told: str) -> None:
        if self.is_open:  # handed over, and then the program ended
            last = self.changes[-1]
            self.changes[-1] = replace(last, led_to_it=f"{last.led_to_it}, {told}")
            return
        offset = entry.offset
        self.changes.append(Change(entry.seq, entry.at, offset, offset, told, ""))
        self.is_open = True

    def end(self, at: timedelta) -> None:
        for each in self.there.values():
            self._end(each, at)
        if self.is_open:
            self.changes[-1] = replace(self.changes[-1], end=at)

    def _end(self, each: There, at: timedelta) -> None:
        self.found.append(replace(each, end=at))


def presence(
    entries: Iterable[LoggedEntry], local: Local
) -> tuple[tuple[There, ...], tuple[Change, ...]]:
    """Who was there, in the order in which it ended, and every change, in its order.

    `local` gives a time by the clock on the wall. Raises EntryUnreadable.
    """
    crew, watch = Crew(), _Watch()
    technician = ""
    last: LoggedEntry | None = None
    for each in entries:
        if Role.TECHNICIAN in crew.present:
            technician = crew.present[Role.TECHNICIAN].person
        match each.value:
            case HandedOver():
                watch.change(each, f"handed over by {technician or 'a person not identified'}")
            case TakenUp() if last is not None:
                watch.change(each, _stood(local(last.at), local(each.at)))
        crew.take_in(each.value)
        watch.now_present(crew.present, each)
        if not _is_of_resuming(each):
            last = each
    watch.end(timedelta(0) if last is None else last.offset)
    return tuple(watch.found), tuple(watch.changes)


def _is_of_resuming(each: LoggedEntry) -> bool:
    """Whether it was written when a program took the run up again, before the run went on."""
    return isinstance(each.value, Resumed | TailCut)


def _stood(ended: datetime, began: datetime) -> str:
    """For how long no program ran, by the clock on the wall."""
    if began < ended:
        return f"no program ran from {ended:%H:%M}; the clock was set back before it was taken up"
    is_one_day = began.date() == ended.date()
    until = f"{began:%H:%M}" if is_one_day else f"{began:%Y-%m-%d %H:%M}"
    return f"no program ran for {clock(began - ended)}, from {ended:%H:%M} to {until}"
