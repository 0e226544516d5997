"""Every reading of a record, also those that were refused or taken back."""

import csv
import io
from collections.abc import Iterable
from dataclasses import astuple, dataclass, fields, replace

from handsfree.engine.entries import ReadingRefused, ReadingTaken, StepConfirmed, StoodBy, Withdrawn
from handsfree.record.entries import LoggedEntry
from handsfree.record.values import kind_named
from handsfree.words.heard import Heard

_MOVES = frozenset(
    kind_named(each)
    for each in (Heard, ReadingTaken, ReadingRefused, Withdrawn, StoodBy, StepConfirmed)
)


@dataclass(frozen=True, slots=True)
class LoggedReading:
    """One row of the table; all text, so that no figure is lost."""

    entry: int
    utc: str
    step: str
    value: str  # "" where it was refused before it was judged
    unit: str
    figures: str  # as said
    verdict: str  # or why it was refused
    lowest: str  # the limits at that moment, exact; "" where there is none
    highest: str
    corrects: str  # "yes": it was said to replace the one before
    affirmed: str  # "yes": read back, affirmed, and what the step was done with
    score: str  # how sure the hearing was
    clip: str  # SHA-256 of the sound


def readings(entries: Iterable[LoggedEntry]) -> tuple[LoggedReading, ...]:
    """The readings in the order in which they were said."""
    found: list[LoggedReading] = []
    heard: LoggedEntry | None = None
    waits = False  # the last reading waits for "affirm"
    for entry in entries:
        if entry.kind not in _MOVES:
            continue
        match entry.value:
            case Heard():
                heard = entry
            case ReadingTaken() as taken:
                found.append(_taken(entry, taken, heard))
                waits = True
            case ReadingRefused() as refused:
                found.append(_refused(entry, refused, heard))
                waits = False
            case StepConfirmed(step=step):
                if waits and found[-1].step == step:
                    found[-1] = replace(found[-1], affirmed="yes")
                waits = False
            case Withdrawn() | StoodBy():
                waits = False
    return tuple(found)


def as_csv(rows: Iterable[LoggedReading]) -> str:
    """The table with a head line, by RFC 4180."""
    text = io.StringIO(newline="")
    table = csv.writer(text)
    table.writerow(field.name for field in fields(LoggedReading))
    table.writerows(astuple(row) for row in rows)
    return text.getvalue()


def _taken(entry: LoggedEntry, taken: ReadingTaken, heard: LoggedEntry | None) -> LoggedReading:
    return LoggedReading(
        entry=entry.seq,
        utc=entry.utc,
        step=taken.step,
        value=f"{taken.value:f}",
        unit=taken.unit,
        figures=taken.figures,
        verdict=taken.verdict.value,
        lowest=taken.lowest or "",
        highest=taken.highest or "",
        corrects="yes" if taken.corrects else "no",
        affirmed="no",
        score=_score(heard),
        clip=_clip(heard),
    )


def _refused(
    entry: LoggedEntry, refused: ReadingRefused, heard: LoggedEntry | None
) -> LoggedReading:
    return LoggedReading(
        entry=entry.seq,
        utc=entry.utc,
        step=refused.step,
        value="",
        unit=refused.unit or "",
        figures=refused.figures,
        verdict=refused.reason,
        lowest="",
        highest="",
        corrects="no",
        affirmed="no",
        score=_score(heard),
        clip=_clip(heard),
    )


def _score(heard: LoggedEntry | None) -> str:
    return "" if heard is None else str(heard.fields["score"])


def _clip(heard: LoggedEntry | None) -> str:
    return "" if heard is None else heard.clip or ""
