"""What came of a saying: whether the engine did what follows from the words that were said."""

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from enum import Enum

from handsfree.engine.advance import advance
from handsfree.engine.effects import Effect, Write
from handsfree.engine.entries import (
    ChoiceMade,
    DateRead,
    FindingCategorised,
    FirstStated,
    IdentityRead,
    NotActedOn,
    NotHeeded,
    ReadingRefused,
    ReadingTaken,
    SecondStated,
)
from handsfree.engine.phase import Phase
from handsfree.engine.state import State
from handsfree.engine.waiting import AwaitingSecond, GoingBack, IdentityHeard, Outside
from handsfree.rehearse.heard_surely import surely
from handsfree.task.model import Task
from handsfree.words.heard import Heard


class Result(Enum):
    """What came of it."""

    RIGHT = "accepted right"  # what follows from the words; of talk, nothing
    ASKED = "asked again"  # or made to wait: it costs time
    WRONG = "accepted wrong"  # something else was acted on, or read back to be affirmed


@dataclass(frozen=True, slots=True)
class Judged:
    """The result of one saying, and for what it was taken."""

    result: Result
    heard: str  # the words; empty: nothing that fits
    read_back: bool  # wrong, but said to the person, who has still to affirm it or to say another


def judge(task: Task, state: State, words: str, heard: Heard) -> Judged:
    """What the engine does with `heard` in `state`, where `words` were said."""
    after, effects = advance(task, state, heard)
    ought, follows = advance(task, state, surely(words, heard.ended, heard.channel))
    was, did, due = _standing(state), _standing(after), _standing(ought)
    said = " ".join(heard.words)
    took_another = _took_another(effects, follows)
    if did == due and not took_another:
        # Words that mean nothing here are to be asked about; whatever else is, costs time.
        asked = did == was and _in_doubt(effects) and not _in_doubt(follows)
        return Judged(Result.ASKED if asked else Result.RIGHT, said, False)
    withdrawn = _in_doubt(effects) and after.position == state.position and after.pending is None
    if withdrawn and not took_another:
        # A value that seemed to be corrected is withdrawn, and none was taken in its place.
        return Judged(Result.ASKED, said, False)
    if (did == was and did != due) or after.phase is Phase.STANDING_BY:
        return Judged(Result.ASKED, said, False)
    refused = any(
        isinstance(each, Write) and isinstance(each.entry, ReadingRefused) for each in effects
    )
    if refused and after.position == state.position:
        # A value that cannot be on this scale is told, and another one is asked for.
        return Judged(Result.ASKED, said, False)
    told = after.pending is not None or isinstance(after.waits_for, Outside)
    return Judged(Result.WRONG, said, told)


def _took_another(effects: Iterable[Effect], follows: Iterable[Effect]) -> bool:
    """Whether a value was taken that is not the one that was said.

    A free choice, or a value that is recorded, may lead to the same place as any other one. What
    was refused is told, and asked for again, so it was not taken.
    """
    took = _values_in(effects)
    return any(taken for _, _, taken in took) and took != _values_in(follows)


def _values_in(effects: Iterable[Effect]) -> tuple[tuple[str, Hashable, bool], ...]:
    """Each value that is put on the record: of what kind, which, and whether it was taken."""
    found: list[tuple[str, Hashable, bool]] = []
    for each in effects:
        entry = each.entry if isinstance(each, Write) else None
        kind = type(entry).__name__
        match entry:
            case ChoiceMade(choice=choice, accepted=accepted):
                found.append((kind, choice, accepted))
            case IdentityRead(characters=characters, accepted=accepted):
                found.append((kind, characters, accepted))
            case DateRead(said=said, verdict=on_date):
                found.append((kind, (said, on_date), True))
            case ReadingTaken(value=value, unit=unit, verdict=verdict):
                found.append((kind, (value, unit, verdict), True))
            case FirstStated(figures=figures) | SecondStated(figures=figures):
                found.append((kind, _as_number(figures), True))
            case FindingCategorised(number=number, category=category):
                found.append((kind, (number, category), True))
    return tuple(found)


def _as_number(figures: str) -> Hashable:
    """The value of figures, so that "20" and "20.0" are one; characters as they are."""
    try:
        return Decimal(figures)
    except InvalidOperation:
        return figures


def standing_after(task: Task, state: State, heard: Heard) -> Hashable | None:
    """What `heard` has the run take or do, to be compared; None: nothing follows from it."""
    after, _ = advance(task, state, heard)
    standing = _standing(after)
    idle = standing == _standing(state) or after.phase is Phase.STANDING_BY
    return None if idle else standing


def _in_doubt(effects: tuple[Effect, ...]) -> bool:
    return any(
        isinstance(each, Write)
        and isinstance(each.entry, NotHeeded)
        and each.entry.reason in (NotActedOn.DOUBTFUL, NotActedOn.AMBIGUOUS, NotActedOn.NOT_ALL)
        for each in effects
    )


def _standing(state: State) -> Hashable:
    """What the words decide: where the run stands, and what it has taken or is about to take."""
    waits = state.waits_for
    taken: Hashable = state.pending
    match waits:
        case AwaitingSecond(first=first):
            taken = first
        case Outside(read_back=says):
            taken = says
        case IdentityHeard(person=person):
            taken = person
        case GoingBack(to=to):
            taken = to
    progress = state.progress
    return (
        type(waits).__name__,
        taken,
        progress.position,
        progress.readings,
        progress.identified,
        progress.done,
        progress.left_undone,
        state.findings.opened,
    )
