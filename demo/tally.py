"""What the demo counts while it runs, and tells at its end."""

from collections import Counter
from enum import Enum

from handsfree.engine.entries import (
    Entry,
    InspectionPassed,
    NotActedOn,
    NotHeeded,
    PersonIdentified,
    ReadingTaken,
    StatementsDiffer,
    StepConfirmed,
)
from handsfree.task.limits.forms import Verdict


class _Told(Enum):
    """What is counted: as it is told of one, and of several."""

    IDENTIFIED = ("person identified", "people identified")
    CONFIRMED = ("step confirmed", "steps confirmed")
    INSPECTED = ("step inspected", "steps inspected")
    INSIDE = ("reading inside limits", "readings inside limits")
    OUTSIDE = (
        "reading outside limits, not accepted",
        "readings outside limits, not accepted",
    )
    DIFFERED = (
        "reading on which two people differed, read again",
        "readings on which two people differed, read again",
    )
    DOUBTFUL = ("doubtful hearing, asked again", "doubtful hearings, asked again")


class Tally:
    """Counts the decisions of a run."""

    def __init__(self) -> None:
        """Nothing has happened yet."""
        self._counts: Counter[_Told] = Counter()

    def take(self, entry: Entry) -> None:
        """Count a decision, where it is one that is told."""
        told = _told_of(entry)
        if told is not None:
            self._counts[told] += 1

    def lines(self) -> tuple[str, ...]:
        """One line for each thing that happened, with its number in a column of four."""
        counted = ((each, self._counts[each]) for each in _Told)
        return tuple(f"{count:4d} {each.value[count != 1]}" for each, count in counted if count)


def _told_of(entry: Entry) -> _Told | None:
    match entry:
        case PersonIdentified():
            return _Told.IDENTIFIED
        case StepConfirmed():
            return _Told.CONFIRMED
        case InspectionPassed():
            return _Told.INSPECTED
        case ReadingTaken(verdict=Verdict.INSIDE):
            return _Told.INSIDE
        case ReadingTaken():
            return _Told.OUTSIDE
        case StatementsDiffer():
            return _Told.DIFFERED
        case NotHeeded(reason=NotActedOn.DOUBTFUL):
            return _Told.DOUBTFUL
    return None
