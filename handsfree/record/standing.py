"""How a run stands by its record: finished or not, and each step of the way that was taken."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from textwrap import shorten

from handsfree.engine.entries import (
    FindingCategorised,
    FindingClosed,
    FindingOpened,
    Remarked,
    TaskEnded,
)
from handsfree.engine.findings import Finding
from handsfree.record.entries import LoggedEntry
from handsfree.record.passes import End, Pass

_LONGEST_REMARK = 60  # characters in the verdict; all of it stands among the findings


@dataclass(frozen=True, slots=True)
class FindingStands:
    """A finding as it stands at the end of the record."""

    finding: Finding
    closed_by: str | None = None  # None: it is open
    action: str = ""  # what was done about it, as a listener wrote it down

    @property
    def is_open(self) -> bool:
        """Whether nobody has closed it."""
        return self.closed_by is None


@dataclass(frozen=True, slots=True)
class Standing:
    """How a run stands. Steps are told by id, each once, in the order of the way."""

    finished: bool
    done: tuple[str, ...]
    led_on: tuple[tuple[str, str], ...]  # not done: the task leads on from what was found
    deferred: tuple[tuple[str, str], ...]  # with who agreed
    at: str | None  # the step that is open; None: none is
    again: tuple[str, ...]  # done more than once, or rejected and done again
    undone: tuple[str, ...]  # by "back to step", and what became of them is told by the others
    findings: tuple[FindingStands, ...]

    @property
    def open_findings(self) -> tuple[FindingStands, ...]:
        """Those that nobody has closed."""
        return tuple(each for each in self.findings if each.is_open)

    @property
    def undone_only(self) -> tuple[str, ...]:
        """Steps that were undone and not done again since."""
        return tuple(each for each in self.undone if each not in self.done)


def standing(passed: Iterable[Pass], entries: Iterable[LoggedEntry]) -> Standing:
    """How the run stands after all `entries`, whose passes are given; raises EntryUnreadable."""
    passed = tuple(passed)
    live = [each for each in passed if not each.undone]
    last = {each.step: each for each in live}  # a step that was gone through again counts as last
    counted = [(step, each) for step, each in last.items() if each.end is not End.OPEN]
    again = {
        each.step
        for each in live
        if each.rejected or sum(other.step == each.step for other in live if other.ended) > 1
    }
    findings, finished = _findings(entry.value for entry in entries)
    return Standing(
        finished=finished,
        done=tuple(step for step, each in counted if each.end is End.DONE),
        led_on=tuple((step, each.outcome) for step, each in counted if each.end is End.LED_ON),
        deferred=tuple((step, each.outcome) for step, each in counted if each.end is End.DEFERRED),
        at=next((each.step for each in reversed(live) if each.end is End.OPEN), None),
        again=tuple(step for step in last if step in again),
        undone=tuple(
            dict.fromkeys(each.step for each in passed if each.undone and each.end is End.DONE)
        ),
        findings=findings,
    )


def verdict(standing: Standing) -> str:
    """All of it in one line."""
    way = len(standing.done) + len(standing.led_on) + len(standing.deferred)
    parts = [_ending(standing, way)]
    if standing.deferred:
        told = ", ".join(f"{step} (by {by})" for step, by in standing.deferred)
        parts.append(f"Not done, deferred: {told}.")
    if standing.led_on:
        told = ", ".join(f"{step} ({how})" for step, how in standing.led_on)
        parts.append(f"Not done, led on by what was found: {told}.")
    parts.append(_list("Findings open", map(_finding, standing.open_findings)))
    parts.append(_list("Done again", standing.again))
    undone = [
        step if step in standing.done else f"{step} (not done since)" for step in standing.undone
    ]
    parts.append(_list("Undone", undone))
    return " ".join(parts)


def _ending(standing: Standing, way: int) -> str:
    done = len(standing.done)
    counted = "1 step" if way == 1 else f"{way} steps"
    if not standing.finished:
        at = f" The run stands at {standing.at}." if standing.at is not None else ""
        return f"NOT FINISHED: {done} done of {counted} gone through so far.{at}"
    if done == way:
        return f"Finished: every step of the way taken is done ({done})."
    return f"Finished, BUT NOT EVERY STEP IS DONE: {done} of the {counted} of the way taken are."


def _finding(stands: FindingStands) -> str:
    finding = stands.finding
    remark = shorten(finding.remark, _LONGEST_REMARK, placeholder=" ...") or "in the clip"
    return f"{finding.number} (at {finding.step}, {finding.category.value}: {remark})"


def _list(what: str, found: Iterable[str]) -> str:
    return f"{what}: {', '.join(found) or 'none'}."


def _findings(values: Iterable[object]) -> tuple[tuple[FindingStands, ...], bool]:
    """Every finding as it stands, and whether the task has ended."""
    found: dict[int, FindingStands] = {}
    finished = False
    for value in values:
        match value:
            case TaskEnded():
                finished = True
            case FindingOpened(finding):
                found[finding.number] = FindingStands(finding)
            # A record that was changed can name one that nobody opened; `verify` tells of that.
            case FindingCategorised(number, category) if number in found:
                stands = found[number]
                amended = replace(stands.finding, category=category)
                found[number] = replace(stands, finding=amended)
            case Remarked(about="closed", text=text, finding=int(number)) if number in found:
                found[number] = replace(found[number], action=text)
            case Remarked(text=text, finding=int(number)) if number in found:
                stands = found[number]
                found[number] = replace(stands, finding=replace(stands.finding, remark=text))
            case FindingClosed(number, by, name) if number in found:
                found[number] = replace(found[number], closed_by=f"{name} ({by})")
    return tuple(found.values()), finished
