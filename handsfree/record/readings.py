"""Every reading of a record, also those that were refused or taken back."""

import csv
import io
from collections.abc import Iterable
from dataclasses import astuple, dataclass, fields, replace

from handsfree.engine.entries import (
    ReadingRefused,
    ReadingTaken,
    Replaced,
    StepConfirmed,
    StoodBy,
    Withdrawn,
)
from handsfree.record.entries import LoggedEntry
from handsfree.record.values import kind_named
from handsfree.words.heard import Heard

_MOVES = frozenset(
    kind_named(each)
    for each in (Heard, Replaced, ReadingTaken, ReadingRefused, Withdrawn, StoodBy, StepConfirmed)
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
    said_in: str  # the unit of `figures`; "" where none was said and the value was refused
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
    replaced: list[LoggedReading] = []
    waits = False  # the last reading waits for "affirm"
    for entry in entries:
        if entry.kind not in _MOVES:
            continue
        match entry.value:
            case Heard():
                heard, replaced = entry, []  # what was replaced in an identity is no reading
            case Replaced(step, figures, unit):
                why = "corrected in the same utterance"
                replaced.append(_not_taken(entry, step, figures, unit, why, heard))
            case ReadingTaken() as taken:
                found += [*replaced, _taken(entry, taken, heard)]
                replaced, waits = [], True
            case ReadingRefused(step, figures, unit, why):
                found += [*replaced, _not_taken(entry, step, figures, unit, why, heard)]
                replaced, waits = [], False
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
        said_in=taken.scale or taken.unit,
        verdict=taken.verdict.value,
        lowest=taken.lowest or "",
        highest=taken.highest or "",
        corrects="yes" if taken.corrects else "no",
        affirmed="no",
        score=_score(heard),
        clip=_clip(heard),
    )


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
        corrects="no",
        affirmed="no",
        score=_score(heard),
        clip=_clip(heard),
    )


def _score(heard: LoggedEntry | None) -> str:
    return "" if heard is None else str(heard.fields["score"])


def _clip(heard: LoggedEntry | None) -> str:
    return "" if heard is None else heard.clip or ""
