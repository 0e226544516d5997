"""Every reading of a record, also those that were refused or taken back."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from handsfree.engine.entries import (
    FirstStated,
    ReadingRefused,
    ReadingTaken,
    Replaced,
    SecondStated,
    StatementsDiffer,
    StepBegun,
    StepConfirmed,
    StepLeft,
    StoodBy,
    WentBack,
    Withdrawn,
)
from handsfree.record.entries import LoggedEntry
from handsfree.words.heard import Heard
from handsfree.words.units import QUANTITIES


@dataclass(frozen=True, slots=True)
class LoggedReading:
    """One reading; all text, so that no figure is lost."""

    entry: int
    utc: str
    step: str
    value: str  # "" where it was refused before it was judged
    unit: str
    figures: str  # as said
    said_in: str  # the unit of `figures`; "" where none was said and the value was refused
    verdict: str  # or why it was refused
    lowest: str  # the limits at that moment, exact; "" where there is none
    highest: str
    judged: str  # what the verdict is about where it is not the value, such as "difference 120"
    corrects: str  # "yes": it was said to replace the one before
    affirmed: str  # "yes": read back, affirmed, and what the step was left with; not undone since
    undone: str  # "yes": "back to step" took it back after it was said, affirmed or not
    score: str  # how sure the hearing was
    clip: str  # SHA-256 of the sound
    heard_in: int | None = None  # the entry that holds what was said


def readings(entries: Iterable[LoggedEntry]) -> tuple[LoggedReading, ...]:
    """The readings in the order in which they were said."""
    found: list[LoggedReading] = []
    heard: LoggedEntry | None = None
    replaced: list[LoggedReading] = []
    waits = False  # the last reading waits for "affirm"
    stated: list[tuple[LoggedEntry, LoggedEntry | None]] = []  # by two persons, and the hearings
    begun: dict[str, int] = {}  # how many readings there were when a step was last begun
    for entry in entries:
        match entry.value:
            case Heard():
                heard, replaced = entry, []  # what was replaced in an identity is no reading
            case Replaced(step, figures, unit):
                why = "corrected in the same utterance"
                replaced.append(_not_taken(entry, step, figures, unit, why, heard))
            case FirstStated(what=what) if what in QUANTITIES:
                found += replaced
                replaced, stated = [], [(entry, heard)]
            case SecondStated(what=what) if what in QUANTITIES:
                found += replaced
                replaced, stated = [], [*stated[-1:], (entry, heard)]
            case StatementsDiffer():
                found += [_differs(each, said) for each, said in stated]
                stated = []
            case ReadingTaken() as taken:
                # What two persons stated is taken as the first of them said it.
                found += [*replaced, _taken(entry, taken, stated[0][1] if stated else heard)]
                replaced, stated, waits = [], [], True
            case ReadingRefused(step, figures, unit, why):
                found += [*replaced, _not_taken(entry, step, figures, unit, why, heard)]
                replaced, waits = [], False
            case StepConfirmed(step=step) | StepLeft(step=step, outcome="below" | "above"):
                if waits and found[-1].step == step:
                    found[-1] = replace(found[-1], affirmed="yes")
                waits = False
            case StepBegun(step=step):
                begun[step] = len(found)
            case WentBack(step, undone):
                # A step that is done more than once, in a loop of rework, can lie on both sides.
                since = begun.get(step, len(found))
                found = [
                    replace(each, affirmed="no", undone="yes")
                    if at >= since or each.step in undone
                    else each
                    for at, each in enumerate(found)
                ]
                waits, stated = False, []
            case Withdrawn() | StoodBy():
                waits, stated = False, []
    return tuple(found)


def _taken(entry: LoggedEntry, taken: ReadingTaken, heard: LoggedEntry | None) -> LoggedReading:
    return LoggedReading(
        entry=entry.seq,
        utc=entry.utc,
        step=taken.step,
        value=f"{taken.value:f}",
        unit=taken.unit,
        figures=taken.figures,
        said_in=taken.scale or taken.unit,
        verdict=taken.verdict.value,
        lowest=taken.lowest or "",
        highest=taken.highest or "",
        judged=taken.judged or "",
        corrects="yes" if taken.corrects else "no",
        affirmed="no",
        undone="no",
        score=_score(heard),
        clip=_clip(heard),
        heard_in=None if heard is None else heard.seq,
    )


def _differs(entry: LoggedEntry, heard: LoggedEntry | None) -> LoggedReading:
    stated = entry.value
    assert isinstance(stated, FirstStated | SecondStated)
    why = "two persons read different values"
    return _not_taken(entry, stated.step, stated.figures, stated.unit, why, heard)


def _not_taken(
    entry: LoggedEntry,
    step: str,
    figures: str,
    unit: str | None,
    why: str,
    heard: LoggedEntry | None,
) -> LoggedReading:
    return LoggedReading(
        entry=entry.seq,
        utc=entry.utc,
        step=step,
        value="",
        unit="",
        figures=figures,
        said_in=unit or "",
        verdict=why,
        lowest="",
        highest="",
        judged="",
        corrects="no",
        affirmed="no",
        undone="no",
        score=_score(heard),
        clip=_clip(heard),
        heard_in=None if heard is None else heard.seq,
    )


def _score(heard: LoggedEntry | None) -> str:
    return "" if heard is None else str(heard.fields["score"])


def _clip(heard: LoggedEntry | None) -> str:
    return "" if heard is None else heard.clip or ""
