"""The engine once more over what happened: it must decide what the record says it decided."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from handsfree.engine.advance import UnexpectedEvent, advance, before_start
from handsfree.engine.effects import Effect, Finish, Listen, Say, Write
from handsfree.engine.events import Event
from handsfree.engine.phase import Phase
from handsfree.engine.state import State
from handsfree.errors import HandsfreeError
from handsfree.record.entries import DECISIONS, EVENTS, EntryUnreadable, LoggedEntry
from handsfree.record.values import JsonObject, fields_of, kind_of
from handsfree.task.model import Task


class ReplayDiffers(HandsfreeError):
    """The record cannot be gone on with: the engine would not have done the same."""

    def __init__(self, seq: int) -> None:
        super().__init__(
            f"entry {seq}: this version of handsfree decides otherwise than the record says, so "
            "where the task stands is not certain. 'handsfree replay' shows both side by side. Go "
            "on with the version that wrote the record, or begin a new one."
        )


@dataclass(frozen=True, slots=True)
class Difference:
    """What the record says and what the engine decides, where they are not the same."""

    seq: int  # of the entry; of the event, where the record has none
    on_record: JsonObject | None  # None: the engine decides something that is not on the record
    replayed: JsonObject | None  # None: the engine does not decide that


@dataclass(frozen=True, slots=True)
class Turn:
    """One event, and what followed it."""

    event: LoggedEntry
    logged: tuple[LoggedEntry, ...]  # all that is on the record between this event and the next
    state: State  # after the event
    effects: tuple[Effect, ...]  # all that the engine wants, carried out or not
    differences: tuple[Difference, ...]
    carried_out: int  # effects, from the first, that are on the record

    @property
    def is_cut_off(self) -> bool:
        """Whether the record ends before all that was decided was written or said."""
        rest = self.effects[self.carried_out :]
        return any(isinstance(each, Write | Say) for each in rest)


def replay(task: Task, entries: Iterable[LoggedEntry]) -> Iterator[Turn]:
    """Each event of a record, in order, with what the engine makes of it.

    What is written and what is said is compared, in its order; what is listened for leaves no
    trace. In the last turn, effects may be missing: a crash leaves that, and it is no difference.
    Raises EntryUnreadable.
    """
    state = before_start(task)
    event: LoggedEntry | None = None
    after: list[LoggedEntry] = []
    for entry in entries:
        if entry.kind not in EVENTS:
            after.append(entry)
            continue
        if event is not None:
            turn = _turn(task, state, event, after, is_last=False)
            yield turn
            state = turn.state
        event, after = entry, []
    if event is not None:
        yield _turn(task, state, event, after, is_last=True)


def _turn(
    task: Task, state: State, entry: LoggedEntry, after: list[LoggedEntry], is_last: bool
) -> Turn:
    event = entry.value
    assert isinstance(event, Event)
    try:
        state, effects = advance(task, state, event)
    except UnexpectedEvent as error:
        impossible: JsonObject = {"impossible": str(error)}
        difference = Difference(entry.seq, {"kind": entry.kind, **entry.fields}, impossible)
        return Turn(entry, tuple(after), state, (), (difference,), 0)
    decided = [each for each in effects if isinstance(each, Write | Say)]
    logged = [each for each in after if each.kind in DECISIONS]
    differences: list[Difference] = []
    for at in range(max(len(decided), len(logged))):
        ours = _as_object(decided[at]) if at < len(decided) else None
        theirs = {"kind": logged[at].kind, **logged[at].fields} if at < len(logged) else None
        if ours == theirs or (is_last and theirs is None):
            continue
        if theirs is None or _with_defaults(logged[at]) != ours:
            seq = logged[at].seq if at < len(logged) else entry.seq
            differences.append(Difference(seq, theirs, ours))
    done = _carried_out(effects, len(logged))
    return Turn(entry, tuple(after), state, effects, tuple(differences), done)


def _with_defaults(entry: LoggedEntry) -> JsonObject | None:
    """The decision with the fields that an older version did not write; None: it is no decision."""
    try:
        return {"kind": entry.kind, **fields_of(entry.value)}
    except EntryUnreadable:
        return None


def _as_object(effect: Write | Say) -> JsonObject:
    value = effect.entry if isinstance(effect, Write) else effect
    return {"kind": kind_of(value), **fields_of(value)}


def _carried_out(effects: tuple[Effect, ...], on_record: int) -> int:
    """How many effects, from the first, are done and over: to listen for something never is."""
    for at, effect in enumerate(effects):
        if on_record == 0 or isinstance(effect, Listen | Finish):
            return at
        on_record -= 1
    return len(effects)


@dataclass(frozen=True, slots=True)
class LeftOff:
    """Where a run left off, and what to go on with."""

    state: State
    effects: tuple[Effect, ...]  # still to be carried out

    @property
    def is_begun(self) -> bool:
        """Whether anything has happened yet."""
        return self.state.phase is not Phase.READY

    @property
    def is_finished(self) -> bool:
        """Whether the task has ended, and nothing is left to say."""
        return any(isinstance(each, Finish) for each in self.effects)


def left_off(task: Task, entries: Iterable[LoggedEntry]) -> LeftOff:
    """Replay a record to its end; raises ReplayDiffers or EntryUnreadable."""
    turn: Turn | None = None
    for turn in replay(task, entries):
        if turn.differences:
            raise ReplayDiffers(turn.differences[0].seq)
    if turn is None:
        return LeftOff(before_start(task), ())
    return LeftOff(turn.state, turn.effects[turn.carried_out :])
