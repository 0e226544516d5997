"""Where a run stands, and which standard words mean something there."""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from enum import Enum

from handsfree.engine.effects import Say
from handsfree.task.course import Position
from handsfree.task.equipment_list import ListedTool
from handsfree.words.dates import as_date
from handsfree.words.standard import StandardWord


class Phase(Enum):
    """What the run waits for."""

    READY = "ready"  # to be started
    ANSWERING = "answering"  # for what the step expects
    CONFIRMING = "confirming"  # for "affirm" of a value that was read back
    OUTSIDE = "outside"  # for a better value: the last one was refused
    DEFERRING = "deferring"  # for "affirm" that the step is deferred
    STANDING_BY = "standing by"  # for "go ahead", and nothing else
    FINISHED = "finished"


# The legal moves. A standard word that is not listed is answered, but changes nothing.
ALWAYS = frozenset(
    {
        StandardWord.SAY_AGAIN,
        StandardWord.WORDS_TWICE,
        StandardWord.STAND_BY,
        StandardWord.HOW_DO_YOU_READ,
    }
)
TAKE_BACK = frozenset({StandardWord.CORRECTION, StandardWord.DISREGARD})
ACTED_ON: dict[Phase, frozenset[StandardWord]] = {
    Phase.READY: frozenset(),
    Phase.ANSWERING: ALWAYS | {StandardWord.UNABLE},
    Phase.CONFIRMING: ALWAYS
    | TAKE_BACK
    | {
        StandardWord.AFFIRM,
        StandardWord.NEGATIVE,
        StandardWord.READ_BACK,
        StandardWord.UNABLE,
    },
    Phase.OUTSIDE: ALWAYS | TAKE_BACK | {StandardWord.READ_BACK, StandardWord.UNABLE},
    Phase.DEFERRING: ALWAYS | {StandardWord.AFFIRM, StandardWord.NEGATIVE, StandardWord.GO_AHEAD},
    Phase.STANDING_BY: frozenset({StandardWord.GO_AHEAD}),
    Phase.FINISHED: frozenset(),
}


@dataclass(frozen=True, slots=True)
class State:
    """Everything that decides what happens next."""

    phase: Phase
    step: int  # index into the task's steps; past the last one when finished
    speaking: bool  # something is being said: nothing heard now is acted on
    doubts: int  # doubtful hearings in a row
    pending: Decimal | str | None  # the reading, identity or phrase that waits for "affirm"
    outcome: str  # how "affirm" then leaves the step, see `task.course`; empty: nothing waits
    readings: tuple[tuple[str, Decimal], ...]  # confirmed ones, by step id
    variants: tuple[tuple[str, str], ...]  # what this run is for, by name
    states: tuple[tuple[str, str], ...]  # of pins, levers and so on, by name
    counts: tuple[tuple[str, int], ...]  # how many are out, by what is counted
    answered: tuple[tuple[str, bool], ...]  # whether a step that others rest on was done, by id
    done_at: tuple[tuple[str, timedelta], ...]  # when a step was done last, by id
    findings: tuple[tuple[str, str], ...]  # the steps left undone, by id, with how
    said: tuple[Say, ...]  # what "say again" repeats
    value_said: tuple[Say, ...]  # what "read back" repeats; empty where there is no value
    confusable: tuple[str, ...] = ()  # phrases that sound like another one of the task
    today: date | None = None  # when the run was started, UTC
    equipment: tuple[ListedTool, ...] | None = None  # what the tool store lists; None: no list
    identified: tuple[tuple[str, str], ...] = ()  # numbers and dates that were affirmed, by step id
    seen: tuple[tuple[str, str], ...] = ()  # by what is counted or used: the last step that did

    @property
    def position(self) -> Position:
        """Where the run stands in the course of the task."""
        return Position(self.step, self.variants, self.states, self.counts, self.answered)

    @property
    def dates(self) -> dict[str, date]:
        """The dates that were affirmed and still hold, by step id.

        The date of a tool holds no more once the number of another one was read.
        """
        answered = dict(self.answered)
        found = (
            (step, as_date(each)) for step, each in self.identified if answered.get(step, True)
        )
        return {step: day for step, day in found if day is not None}

    def at(self, position: Position) -> "State":
        """The same state of the conversation at another position."""
        return replace(
            self,
            step=position.step,
            variants=position.variants,
            states=position.states,
            counts=position.counts,
            answered=position.answered,
        )
