"""Where a run stands, and which words mean something there."""

from dataclasses import dataclass, field, fields, replace
from datetime import date, timedelta
from decimal import Decimal
from enum import Enum

from handsfree.engine.crew import Crew
from handsfree.engine.effects import Say
from handsfree.engine.findings import Finding
from handsfree.task.course import Position
from handsfree.task.equipment_list import ListedTool
from handsfree.words.dates import as_date
from handsfree.words.heard import Heard
from handsfree.words.meanings import Identified, Stated
from handsfree.words.plain import PlainWord
from handsfree.words.standard import StandardWord


class Phase(Enum):
    """What the run waits for."""

    READY = "ready"  # to be started
    ANSWERING = "answering"  # for what the step expects
    CONFIRMING = "confirming"  # for "affirm" of a value that was read back
    OUTSIDE = "outside"  # for a better value: the last one was refused
    DEFERRING = "deferring"  # for "affirm" that the step is deferred
    SECOND = "second"  # for the second person to state the same value
    IDENTIFYING = "identifying"  # for a staff number
    IDENTITY_HEARD = "identity heard"  # for "affirm" of a staff number that was read back
    INSPECTING = "inspecting"  # for "inspected" or "rejected"
    REMARKING = "remarking"  # for anything: the next utterance is a remark
    CATEGORISING = "categorising"  # for the category of a finding
    CHECKING_STATES = "checking states"  # for "affirm" that a state is as it is recorded
    GOING_BACK = "going back"  # for "affirm" that steps are undone and their states put back
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
    Phase.SECOND: ALWAYS | TAKE_BACK | {StandardWord.UNABLE},
    Phase.IDENTIFYING: ALWAYS | {StandardWord.DISREGARD},
    Phase.IDENTITY_HEARD: ALWAYS
    | TAKE_BACK
    | {StandardWord.AFFIRM, StandardWord.NEGATIVE, StandardWord.READ_BACK},
    Phase.INSPECTING: ALWAYS,
    # What is said there is the remark, but for the words that only concern the hearing.
    Phase.REMARKING: frozenset({StandardWord.SAY_AGAIN, StandardWord.WORDS_TWICE}),
    Phase.CATEGORISING: ALWAYS,
    Phase.CHECKING_STATES: ALWAYS | {StandardWord.AFFIRM, StandardWord.NEGATIVE},
    Phase.GOING_BACK: ALWAYS | {StandardWord.AFFIRM, StandardWord.NEGATIVE, StandardWord.DISREGARD},
    Phase.STANDING_BY: frozenset({StandardWord.GO_AHEAD}),
    Phase.FINISHED: frozenset(),
}


AT_A_STEP = frozenset({Phase.ANSWERING, Phase.CONFIRMING, Phase.OUTSIDE, Phase.SECOND})
_BETWEEN_ANSWERS = frozenset({Phase.ANSWERING, Phase.OUTSIDE})
ORDERED_IN: dict[PlainWord, frozenset[Phase]] = {
    PlainWord.WHERE_AM_I: frozenset(Phase)
    - {Phase.READY, Phase.REMARKING, Phase.STANDING_BY, Phase.FINISHED},
    PlainWord.HAND_OVER: _BETWEEN_ANSWERS,
    PlainWord.BACK_TO_STEP: _BETWEEN_ANSWERS | {Phase.CHECKING_STATES},
    PlainWord.CLOSE_FINDING: _BETWEEN_ANSWERS,
    PlainWord.GO_BACK: frozenset(),
    PlainWord.HELP: frozenset(),
    PlainWord.STOP: frozenset(),
}


@dataclass(frozen=True, slots=True)
class Past:
    """The run as it was when it arrived at a step; going back restores all of it together."""

    position: Position
    readings: tuple[tuple[str, Decimal], ...]
    done_at: tuple[tuple[str, timedelta], ...]
    findings: tuple[tuple[str, str], ...]
    done: tuple[str, ...]
    void: tuple[str, ...]
    identified: tuple[tuple[str, str], ...]
    seen: tuple[tuple[str, str], ...]


# By name, so that what a run comes to know later is kept and restored by one more field of Past.
_KEPT = tuple(each.name for each in fields(Past) if each.name != "position")


@dataclass(frozen=True, slots=True)
class Held:
    """A step whose work is done, and that waits for an inspector."""

    outcome: str
    pending: Decimal | str | None
    heard: Heard
    by: str | None  # the staff number of the technician


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
    today: date | None = None  # when the run was started or taken up, UTC
    equipment: tuple[ListedTool, ...] | None = None  # what the tool store lists; None: no list
    identified: tuple[tuple[str, str], ...] = ()  # numbers and dates that were affirmed, by step id
    seen: tuple[tuple[str, str], ...] = ()  # by what is counted or used: the last step that did
    now: timedelta = timedelta(0)  # the running time, as the last event told it
    crew: Crew = field(default_factory=Crew)
    past: tuple[Past, ...] = ()  # each arrival at a step, the present one last
    done: tuple[str, ...] = ()  # steps that are done, in the order of the run
    void: tuple[str, ...] = ()  # steps whose `done_at` is worth nothing, by id
    begun_at: timedelta = timedelta(0)  # when the run arrived at the step
    stood_by_at: timedelta = timedelta(0)  # when it began to stand by
    asked_into_silence: bool = False  # "are you there" was not answered
    remark: str = ""  # what the next utterance is a remark about; empty: nothing
    about: int | None = None  # the finding that is remarked, categorised or closed
    open_findings: tuple[Finding, ...] = ()
    opened: int = 0  # findings, closed ones too
    first: Stated | Identified | None = None  # waits, unsaid, for the second person
    differed: int = 0  # times in a row that two persons read different values
    held: Held | None = None
    checks: tuple[str, ...] = ()  # states still to be confirmed before work goes on
    hears_summary: bool = False  # an incoming person is to be told where the task stands
    back_to: int | None = None  # into `past`, while going back waits for "affirm"

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

    def remembered(self) -> Past:
        """What going back to this moment restores."""
        return Past(self.position, **{each: getattr(self, each) for each in _KEPT})

    def back_at(self, past: Past) -> "State":
        """The same state of the conversation, where the run was and with what it knew there."""
        return replace(self.at(past.position), **{each: getattr(past, each) for each in _KEPT})
