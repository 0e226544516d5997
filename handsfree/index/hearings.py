"""What people said, what came of it, and what they meant where they had to say it again."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from handsfree.engine.entries import (
    DateRead,
    FirstStated,
    IdentityRead,
    NotActedOn,
    NotHeeded,
    ReadingTaken,
    SecondStated,
    StepBegun,
    Withdrawn,
)
from handsfree.index.tables import SaidRow
from handsfree.record.entries import EVENTS, LoggedEntry
from handsfree.record.speakers import Utterer
from handsfree.words.heard import Heard
from handsfree.words.units import QUANTITIES

# The tool heard something and had it said again because it was not sure what. What was meant for
# somebody else, or said while it waits, is no mishearing.
_DOUBTED = (NotActedOn.DOUBTFUL, NotActedOn.AMBIGUOUS, NotActedOn.OFFER_DENIED)


@dataclass(slots=True)
class _Utterance:
    """One utterance, with what has come of it so far."""

    row: SaidRow
    is_value: bool = False


def hearings(
    record: str,
    entries: Sequence[LoggedEntry],
    said_by: Mapping[int, Utterer],
    days: Mapping[int, str],
) -> tuple[SaidRow, ...]:
    """Every utterance in its order. `days` gives the day of each entry; raises EntryUnreadable."""
    found: list[_Utterance] = []
    step = ""
    said: _Utterance | None = None  # what the decisions that follow are about
    doubted: list[_Utterance] = []  # at this step, and not said again yet
    value: _Utterance | None = None  # the last value, which can still be taken back
    for entry in entries:
        match entry.value:
            case Heard() as heard:
                _settle(said, doubted)
                said = _Utterance(_row(record, entry, heard, said_by, step, days))
                found.append(said)
            case _ if entry.kind in EVENTS:
                _settle(said, doubted)
                said = None
            case StepBegun(step=begun):
                _settle(said, doubted)
                said = None
                if begun != step:
                    doubted.clear()
                step = begun
            case NotHeeded(reason=reason) if said is not None:
                said.row = replace(
                    said.row, refused=reason.value, asked_again=reason in _DOUBTED, meant=""
                )
                if reason in _DOUBTED:
                    doubted.append(said)
                said = None
            case Withdrawn():
                _take_back(value)
                value = None
            case _ if said is not None and (kind := _kind_of_value(entry.value)):
                if getattr(entry.value, "corrects", False):
                    _take_back(value)
                said.row = replace(said.row, meant=kind)
                value = said
    _settle(said, doubted)
    return tuple(each.row for each in found)


def _settle(said: _Utterance | None, doubted: list[_Utterance]) -> None:
    """What was acted on tells what the doubted ones before it had meant."""
    if said is None:
        return
    for each in doubted:
        each.row = replace(each.row, meant=said.row.meant)
    doubted.clear()


def _take_back(value: _Utterance | None) -> None:
    if value is not None:
        value.row = replace(value.row, taken_back=True)


def _kind_of_value(value: object) -> str:
    """What sort of value was taken, for no two have the same words; "" where none was."""
    match value:
        case ReadingTaken():
            return "(a reading)"
        case FirstStated(what=what) | SecondStated(what=what):
            return "(a reading)" if what in QUANTITIES else "(a number)"
        case IdentityRead():
            return "(a number)"
        case DateRead():
            return "(a date)"
    return ""


def _row(
    record: str,
    entry: LoggedEntry,
    heard: Heard,
    said_by: Mapping[int, Utterer],
    step: str,
    days: Mapping[int, str],
) -> SaidRow:
    words = " ".join(heard.words)
    return SaidRow(
        record=record,
        entry=entry.seq,
        utc=utc_of(entry),
        day=days[entry.seq],
        step=step,
        person=said_by[entry.seq].speaker.person,
        words=words,
        wrote=" / ".join(_freely(heard)),
        score=heard.score,
        refused="",
        asked_again=False,
        taken_back=False,
        meant=words,
        clip=entry.clip or "",
    )


def _freely(heard: Heard) -> Iterator[str]:
    """What listeners write, each spelling once; not what is the words themselves."""
    told = {" ".join(heard.words).lower()}
    for each in heard.opinions:
        text = " ".join(each.free_text.split())
        plain = text.lower().strip(" .,!?")
        if plain and plain not in told:
            told.add(plain)
            yield text


def utc_of(entry: LoggedEntry) -> str:
    """When it was written, in one form whatever the record has; raises EntryUnreadable."""
    return entry.at.isoformat(timespec="milliseconds")


def asked_again_at(rows: Iterable[SaidRow], first: int, last: int) -> int:
    """How often something had to be said again between two entries."""
    return sum(each.asked_again and first <= each.entry <= last for each in rows)
