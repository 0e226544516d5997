"""Where a run stands: everything that decides what happens next."""

from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from decimal import Decimal

from handsfree.engine.crew import Crew
from handsfree.engine.delivery import Delivery
from handsfree.engine.doubt import Doubt
from handsfree.engine.effects import Say
from handsfree.engine.findings import Findings
from handsfree.engine.manner import Manner
from handsfree.engine.phase import Phase
from handsfree.engine.voices import Voices
from handsfree.engine.waiting import Uninspected, WaitsFor, value_in_question, value_said
from handsfree.task.course import Position
from handsfree.task.equipment_list import ListedTool
from handsfree.words.dates import as_date


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the run has come, and what it has found on its way.

    Going back to a step restores the whole of it, to what it was when the run arrived there. So
    what a run comes to know later is restored as well, by being a field here.
    """

    position: Position
    readings: tuple[tuple[str, Decimal], ...] = ()  # confirmed ones, by step id
    identified: tuple[tuple[str, str], ...] = ()  # numbers and dates that were affirmed, by step id
    seen: tuple[tuple[str, str], ...] = ()  # by what is counted or used: the last step that did
    done: tuple[str, ...] = ()  # steps that are done, in the order of the run
    left_undone: tuple[tuple[str, str], ...] = ()  # by step id, with how
    done_at: tuple[tuple[str, timedelta], ...] = ()  # when a step was done last, by id
    void: tuple[str, ...] = ()  # steps whose `done_at` is worth nothing, by id

    @property
    def dates(self) -> dict[str, date]:
        """The dates that were affirmed and still hold, by step id.

        The date of a tool holds no more once the number of another one was read.
        """
        answered = dict(self.position.answered)
        found = (
            (step, as_date(each)) for step, each in self.identified if answered.get(step, True)
        )
        return {step: day for step, day in found if day is not None}


@dataclass(frozen=True, slots=True)
class ThisStep:
    """What is known of the step where the run stands, and forgotten when it leaves."""

    begun_at: timedelta = timedelta(0)  # when the run arrived here
    differed: int = 0  # times in a row that two persons read different values
    uninspected: Uninspected | None = None  # the work that an inspector is to see
    is_rejected: bool = False  # an inspector has rejected the work, and has still to say why


@dataclass(frozen=True, slots=True)
class Resumption:
    """What is open after an interruption, before work goes on."""

    checks: tuple[str, ...] = ()  # states still to be confirmed, the next one first
    hears_summary: bool = False  # an incoming person is to be told where the task stands


@dataclass(frozen=True, slots=True)
class Exchange:
    """What was said last, what was heard of the answer, and how each voice is heard."""

    said: tuple[Say, ...] = ()  # what "say again" repeats
    doubt: Doubt = field(default_factory=Doubt)  # heard of the open question, and not believed
    stated_by: str | None = None  # who said what now waits for "affirm"; None: it was typed
    delivery: Delivery = field(default_factory=Delivery)
    voices: Voices = field(default_factory=Voices)
    helped: int = 0  # times in a row that help was given in place of going on
    asked_into_silence: bool = False  # "are you there" was not answered
    affirmative: bool = False  # "affirm" was not heard, and "affirmative" was


@dataclass(frozen=True, slots=True)
class Given:
    """What the run was told when it was started or taken up."""

    confusable: tuple[str, ...] = ()  # phrases that sound like another one of the task
    today: date | None = None  # UTC; None: no date can be judged
    equipment: tuple[ListedTool, ...] | None = None  # what the tool store lists; None: no list
    manner: Manner = Manner.FULL


@dataclass(frozen=True, slots=True)
class State:
    """Everything that decides what happens next."""

    waits_for: WaitsFor
    progress: Progress
    speaking: bool = False  # something is being said: nothing heard now is acted on
    now: timedelta = timedelta(0)  # the running time, as the last event told it
    this_step: ThisStep = field(default_factory=ThisStep)
    past: tuple[Progress, ...] = ()  # at each arrival at a step, the present one last
    resumption: Resumption = field(default_factory=Resumption)
    exchange: Exchange = field(default_factory=Exchange)
    findings: Findings = field(default_factory=Findings)
    crew: Crew = field(default_factory=Crew)
    given: Given = field(default_factory=Given)

    @property
    def phase(self) -> Phase:
        """Which words mean something now."""
        return self.waits_for.phase

    @property
    def pending(self) -> Decimal | str | None:
        """The reading, identity, phrase or staff number that waits for "affirm"."""
        return value_in_question(self.waits_for)

    @property
    def value_said(self) -> tuple[Say, ...]:
        """What "read back" repeats; empty where there is no value."""
        return value_said(self.waits_for)

    @property
    def position(self) -> Position:
        """Where the run stands in the course of the task."""
        return self.progress.position

    @property
    def step(self) -> int:
        """Index into the task's steps; past the last one when finished."""
        return self.position.step

    @property
    def states(self) -> tuple[tuple[str, str], ...]:
        """The states of pins, levers and so on, by name."""
        return self.position.states

    @property
    def counts(self) -> tuple[tuple[str, int], ...]:
        """How many are out, by what is counted."""
        return self.position.counts

    @property
    def readings(self) -> tuple[tuple[str, Decimal], ...]:
        """The confirmed readings, by step id."""
        return self.progress.readings

    @property
    def done(self) -> tuple[str, ...]:
        """The steps that are done, in the order of the run."""
        return self.progress.done

    def at_step(self, step: int) -> "State":
        """This state, but at another step of the task."""
        position = replace(self.position, step=step)
        return replace(self, progress=replace(self.progress, position=position))

    def with_doubt(self, doubt: Doubt) -> "State":
        """This state, with this heard of the open question and not believed."""
        return replace(self, exchange=replace(self.exchange, doubt=doubt))

    def without_doubt(self) -> "State":
        """This state, with nothing heard that was not believed."""
        return self.with_doubt(Doubt())

    def with_checks(self, checks: tuple[str, ...]) -> "State":
        """This state with these states of the task to be confirmed before work goes on."""
        return replace(self, resumption=replace(self.resumption, checks=checks))
