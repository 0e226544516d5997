"""When the task stood, for how long, and why."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import timedelta

from handsfree.engine.entries import (
    Remarked,
    StepBegun,
    StepDeferred,
    StoodBy,
    TaskEnded,
    WentOn,
)
from handsfree.record.entries import LoggedEntry
from handsfree.record.in_words import clock


@dataclass(frozen=True, slots=True)
class Wait:
    """One time that the task waited for people."""

    entry: int
    step: str
    begin: timedelta
    end: timedelta
    led_to_it: str  # such as "stand by"
    remark: str  # what was said of it, as a listener wrote it down

    @property
    def told(self) -> str:
        """How long, and why."""
        said = f": “{self.remark}”" if self.remark else ""
        return f"for {clock(self.end - self.begin)}, {self.led_to_it}{said}"


def waits(entries: Iterable[LoggedEntry]) -> tuple[Wait, ...]:
    """All of them in their order; one that has no end lasts to the end of the record."""
    found: list[Wait] = []
    is_waiting, now = False, timedelta(0)
    for each in entries:
        now = each.offset
        match each.value:
            case StoodBy(step, reason) if not is_waiting:
                found.append(Wait(each.seq, step, now, now, reason, ""))
                is_waiting = True
            case Remarked(about="stand by" | "unable", text=text) if found:
                found[-1] = replace(found[-1], remark=text)
            case WentOn() | StepBegun() | StepDeferred() | TaskEnded() if is_waiting:
                found[-1] = replace(found[-1], end=now)
                is_waiting = False
    if is_waiting:
        found[-1] = replace(found[-1], end=now)
    return tuple(found)
