"""Each time that a step was gone through: by whom, how long, with what, and whether it still holds.

A step is gone through once, or again in rework, after "back to step", or both. A pass lasts from
the moment that the step is first spoken to the moment that it is left. What "back to step" undoes
is what the engine undoes: the last pass of that step, and every pass after it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import Enum

from handsfree.engine.entries import (
    AnsweredTooEarly,
    ChoiceMade,
    DateRead,
    FirstStated,
    IdentityRead,
    InspectionCalled,
    InspectionPassed,
    InspectionRejected,
    NotHeeded,
    ReadingRefused,
    ReadingTaken,
    SecondStated,
    StatementsDiffer,
    StepBegun,
    StepConfirmed,
    StepDeferred,
    StepLeft,
    StoodBy,
    WentBack,
    WentOn,
    Withdrawn,
)
from handsfree.engine.events import TakenUp
from handsfree.record.entries import LoggedEntry
from handsfree.record.marks import RecordOpened, Resumed
from handsfree.record.speakers import Crew, Speaker, Utterer
from handsfree.task.roles import Role
from handsfree.words.heard import Heard

NOT_NAMED = "somebody not named"


class End(Enum):
    """How a step was left."""

    DONE = "done"
    LED_ON = "led on"  # not done: what was found leads on, as the task says
    DEFERRED = "deferred"
    OPEN = "open"  # it is not left yet


@dataclass(frozen=True, slots=True)
class Statement:
    """What one of two people stated."""

    by: Speaker
    figures: str  # as said
    unit: str | None
    clip: str | None  # SHA-256


@dataclass(slots=True)
class Pass:
    """One time that a step was gone through."""

    step: str
    entry: int  # with which it begins
    began: datetime  # UTC
    technician: Speaker
    key_of: str | None  # who worked then, as their key names them
    last_entry: int = 0  # with which it ends
    ended: datetime | None = None  # None: it has not ended
    work: timedelta = timedelta(0)
    stand_by: timedelta = timedelta(0)
    attempts: int = 0  # answers that were judged, also those that were refused
    rejected: int = 0  # by an inspector
    end: End = End.OPEN
    outcome: str = ""  # such as "done" or "below"; of a deferral, who agreed to it
    undone: bool = False
    taken: ReadingTaken | IdentityRead | DateRead | ChoiceMade | None = (
        None  # what it was left with
    )
    clip: str | None = None  # SHA-256 of the value, else of what confirmed it
    first: Statement | None = None
    second: Statement | None = None
    affirmed: Utterer | None = None  # who said what it was left by
    inspector: Speaker | None = None
    lowest_score: float | None = None  # of all that was heard and acted on
    _answered: bool = field(default=False, repr=False)

    @property
    def holds(self) -> bool:
        """Whether the step is done by this pass, as the record stands at its end."""
        return self.end is End.DONE and not self.undone

    @property
    def done_by(self) -> str:
        """Who did it, as far as the record tells: by staff number, else by key."""
        if self.technician.staff_number is not None:
            return self.technician.person
        return NOT_NAMED if self.key_of is None else f"{self.key_of} (by key)"


def passes(entries: Iterable[LoggedEntry], said_by: Mapping[int, Utterer]) -> tuple[Pass, ...]:
    """Every pass in the order in which they began. `said_by` is what `utterers` tells.

    Raises EntryUnreadable.
    """
    folding = _Folding(said_by)
    for entry in entries:
        folding.take_in(entry, entry.value)
    return tuple(folding.found)


def _agreed(authority: str, deferred: StepDeferred) -> str:
    """Who has agreed to it; older versions asked for neither name nor reference."""
    by = f": {deferred.by}" if deferred.by else ""
    reference = f", reference {deferred.reference}" if deferred.reference else ""
    return f"{authority}{by}{reference}"


@dataclass(slots=True)
class _Folding:
    said_by: Mapping[int, Utterer]
    found: list[Pass] = field(default_factory=list)
    crew: Crew = field(default_factory=Crew)
    now: Pass | None = None
    key_of: str | None = None
    heard: LoggedEntry | None = None
    score: float | None = None  # of what was heard last, unless it was not acted on
    offset: timedelta = timedelta(0)
    stands_by: bool = False

    def take_in(self, entry: LoggedEntry, value: object) -> None:
        self.crew.take_in(value)
        self._count(entry)
        match value:
            case Heard(score=score):
                self._flush_score()
                self.heard, self.score = entry, score
            case NotHeeded():
                self.score = None
            case StepBegun(step):
                self._begin(entry, step)
            case StoodBy():
                self.stands_by = True
                self._take_back()
            case Withdrawn():
                self._take_back()
            case WentOn() | TakenUp():
                self.stands_by = False
            case StepConfirmed(words=words):
                self._leave(entry, End.DONE, "done", words)
            case StepLeft(outcome=outcome, words=words, planned=True):
                self._leave(entry, End.DONE, f"{outcome}, as the task plans", words)
            case StepLeft(outcome=outcome, words=words):
                self._leave(entry, End.LED_ON, outcome, words)
            case StepDeferred(authority=authority, words=words) as deferred:
                self._leave(entry, End.DEFERRED, _agreed(authority, deferred), words)
            case WentBack(step, undone):
                self._go_back(step, frozenset(undone))
            case RecordOpened(by=by) | Resumed(by=by):
                self.key_of = by
            case _ if self.now is not None:
                self._answer(self.now, value)

    def _count(self, entry: LoggedEntry) -> None:
        passed, self.offset = entry.offset - self.offset, entry.offset
        if self.now is None:
            return
        if self.stands_by:
            self.now.stand_by += passed
        else:
            self.now.work += passed

    def _begin(self, entry: LoggedEntry, step: str) -> None:
        self.stands_by = False
        if self.now is not None and self.now.step == step:
            return  # it is spoken again, after standing by or a correction
        who = self.crew.in_role(Role.TECHNICIAN)
        self.now = Pass(step, entry.seq, entry.at, who, self.key_of)
        self.found.append(self.now)
        self.score = None

    def _leave(self, entry: LoggedEntry, end: End, outcome: str, words: str) -> None:
        now, self.now = self.now, None
        if now is None:
            return  # a record that was changed can leave a step that nobody began
        self._flush_score(now)
        if words and not now._answered:
            now.attempts += 1
        now.end, now.outcome = end, outcome
        now.ended, now.last_entry = entry.at, entry.seq
        now.technician, now.key_of = self.crew.in_role(Role.TECHNICIAN), self.key_of
        if words and self.heard is not None:
            if now.affirmed is None:
                now.affirmed = self.said_by.get(self.heard.seq)
            now.clip = now.clip or self.heard.clip

    def _go_back(self, step: str, undone: frozenset[str]) -> None:
        """The last pass of that step which has ended and every later one count no more."""
        live = [each for each in self.found if not each.undone]
        at = max(
            (n for n, each in enumerate(live) if each.step == step and each is not self.now),
            default=len(live),
        )
        for number, each in enumerate(live):
            if number >= at or each is self.now or (at == len(live) and each.step in undone):
                each.undone = True
        self.now = None

    def _take_back(self) -> None:
        """A value that waited for "affirm" counts no more."""
        if self.now is not None and self.now.affirmed is None:
            self.now.taken = self.now.clip = self.now.first = self.now.second = None

    def _flush_score(self, now: Pass | None = None) -> None:
        now = now or self.now
        if now is not None and self.score is not None:
            lowest = now.lowest_score
            now.lowest_score = self.score if lowest is None else min(lowest, self.score)
        self.score = None

    def _answer(self, now: Pass, value: object) -> None:
        clip = None if self.heard is None else self.heard.clip
        match value:
            case FirstStated(figures=figures, unit=unit, by=by):
                who = self.crew.known(Role.TECHNICIAN, by)
                now.first, now.second = Statement(who, figures, unit, clip), None
            case SecondStated(figures=figures, unit=unit, by=by):
                who = self.crew.known(Role.SECOND_PERSON, by)
                now.second = Statement(who, figures, unit, clip)
            case ReadingTaken() | IdentityRead() | DateRead() | ChoiceMade() as taken:
                self._tried(now)
                now.taken = taken
                now.clip = clip if now.first is None else now.first.clip
            case ReadingRefused() | AnsweredTooEarly() | StatementsDiffer():
                self._tried(now)
                now.taken = None
            case InspectionCalled():
                if not now._answered:
                    self._tried(now)
                if self.heard is not None:
                    now.affirmed = self.said_by.get(self.heard.seq)
                    now.clip = now.clip or clip
            case InspectionPassed(by=by):
                now.inspector = self.crew.known(Role.INSPECTOR, by)
            case InspectionRejected():
                now.rejected += 1
                now._answered = False
                now.taken = now.clip = now.first = now.second = now.affirmed = None

    def _tried(self, now: Pass) -> None:
        now.attempts += 1
        now._answered = True
