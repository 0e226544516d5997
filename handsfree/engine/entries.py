"""What the engine puts on the record: each decision, with all it rests on."""

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from enum import Enum

from handsfree.engine.findings import Category, Finding
from handsfree.task.limits.forms import Verdict
from handsfree.task.roles import Role
from handsfree.task.validity import DateVerdict


class NotActedOn(Enum):
    """Why something heard was not acted on."""

    DOUBTFUL = "doubtful hearing"
    AMBIGUOUS = "more than one meaning"
    NOT_EXPECTED = "does not answer this step"
    SPOKEN_OVER = "said while the tool was speaking"
    STANDING_BY = "said while standing by"
    ANOTHER_PERSON = "said by another person than was asked"


@dataclass(frozen=True, slots=True)
class TaskBegun:
    """The task was started."""

    task: str
    revision: str
    approved_data: str
    approved_data_revision: str
    confusable: tuple[str, ...] = ()  # phrases that sound like another one of the task
    variants: tuple[tuple[str, str], ...] = ()  # what this run is for, by name
    people_identified: bool = False  # by a roster; else nobody knows who said what


@dataclass(frozen=True, slots=True)
class StepBegun:
    """A step was spoken, for the first time or again after standing by."""

    step: str


@dataclass(frozen=True, slots=True)
class NotHeeded:
    """Something was heard and not acted on."""

    step: str
    words: tuple[str, ...]
    reason: NotActedOn


@dataclass(frozen=True, slots=True)
class ReadingTaken:
    """A value was stated and judged."""

    step: str
    value: Decimal
    unit: str
    figures: str  # as said
    verdict: Verdict
    lowest: str | None  # the limits at that moment, exact, as fractions of whole numbers
    highest: str | None
    corrects: bool  # it was said to replace the one before
    # The unit that was said, where it is another scale of the gauge: `figures` are in it, and
    # `value` is converted, exact up to 28 figures. None: `figures` are in `unit`.
    scale: str | None = None


@dataclass(frozen=True, slots=True)
class ReadingRefused:
    """A value was stated that the step cannot take; it was asked for again."""

    step: str
    figures: str
    unit: str | None  # as said
    reason: str


@dataclass(frozen=True, slots=True)
class Replaced:
    """A value or identity was said, and corrected in the same utterance."""

    step: str
    figures: str  # as said; the characters of an identity
    unit: str | None = None  # as said


@dataclass(frozen=True, slots=True)
class PhraseReadBack:
    """A phrase was heard well, but not so well that it is acted on before "affirm"."""

    step: str
    phrase: str


@dataclass(frozen=True, slots=True)
class IdentityRead:
    """A serial or part number was read out and compared."""

    step: str
    characters: str
    accepted: bool
    reason: str = ""  # why not, such as "it is not in the equipment list"


@dataclass(frozen=True, slots=True)
class DateRead:
    """The last day of something's validity was read out and compared."""

    step: str
    said: str  # year, month and day, such as "2027-03-15"; the day need not exist
    verdict: DateVerdict
    corrects: bool  # it was said to replace the one before


@dataclass(frozen=True, slots=True)
class CountDiffers:
    """Things that were counted back in are not as many as must be: the step stays open."""

    step: str
    item: str
    out: int  # how many were out of their place
    counted_in: int  # how many came back, as stated
    missing: int  # of those that this step must count in; less than 0: so many too many
    last_seen: tuple[tuple[str, str], ...]  # the last step that counted or used it, by what it is


@dataclass(frozen=True, slots=True)
class ChoiceMade:
    """One of the choices was found."""

    step: str
    choice: str
    accepted: bool


@dataclass(frozen=True, slots=True)
class Withdrawn:
    """The value waiting for confirmation was taken back."""

    step: str


@dataclass(frozen=True, slots=True)
class StepConfirmed:
    """The step is done."""

    step: str
    words: str  # what confirmed it
    sets: tuple[tuple[str, str], ...]  # states and their new values
    counts: tuple[tuple[str, int], ...] = ()  # how many more are out, by what is counted


@dataclass(frozen=True, slots=True)
class StepLeft:
    """The step is not done, and what was found leads on from it, as the task says."""

    step: str
    outcome: str  # such as "below", "late", or the choice that was found
    words: str  # what was heard
    sets: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class StepDeferred:
    """The step is not done, and stays so: a finding is open."""

    step: str
    authority: str  # who, as the task says, may defer it
    words: str  # what was heard
    sets: tuple[tuple[str, str], ...]
    by: str = ""  # the name of who did, as a listener wrote it down; its clip is what counts
    reference: str = ""  # under which they did, as it was read back and affirmed


@dataclass(frozen=True, slots=True)
class AnsweredTooEarly:
    """The step must wait longer before it is answered; it was asked for again."""

    step: str
    words: str
    remaining: timedelta


@dataclass(frozen=True, slots=True)
class StoodBy:
    """The task waits for "go ahead"."""

    step: str
    reason: str


@dataclass(frozen=True, slots=True)
class WentOn:
    """The task goes on after standing by."""

    step: str


@dataclass(frozen=True, slots=True)
class TaskEnded:
    """Every step on the way through the task is done, but for the findings."""

    states: tuple[tuple[str, str], ...]
    counts: tuple[tuple[str, int], ...] = ()  # how many are out, by what is counted
    findings: tuple[tuple[str, str], ...] = ()  # the steps left undone, by id, with how
    open_findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class PersonIdentified:
    """Somebody said their staff number, affirmed it, and may have this role."""

    role: Role
    staff_number: str
    name: str


@dataclass(frozen=True, slots=True)
class PersonRefused:
    """Somebody said a staff number and may not have this role."""

    role: Role
    staff_number: str  # as said
    reason: str


@dataclass(frozen=True, slots=True)
class FirstStated:
    """The technician stated a value that waits, unsaid, for the second person."""

    step: str
    what: str  # the quantity, such as "pressure", or what is read, such as "part number"
    figures: str  # as said; the characters of an identity
    unit: str | None = None  # as said
    by: str | None = None  # a staff number, here and below


@dataclass(frozen=True, slots=True)
class SecondStated:
    """The second person stated theirs, before the first was said aloud by the tool."""

    step: str
    what: str
    figures: str
    unit: str | None = None
    by: str | None = None


@dataclass(frozen=True, slots=True)
class StatementsDiffer:
    """The two are further apart than the scale shows, or lie on two sides of a limit."""

    step: str
    first: str  # as said
    second: str
    times: int  # in a row


@dataclass(frozen=True, slots=True)
class InspectionCalled:
    """The work of the step is done, and waits for an inspector."""

    step: str
    by: str | None


@dataclass(frozen=True, slots=True)
class InspectionPassed:
    """The inspector has looked at the step, and it is as it must be."""

    step: str
    by: str


@dataclass(frozen=True, slots=True)
class InspectionRejected:
    """The inspector has looked at the step, and it must be done again. A remark follows."""

    step: str
    by: str


@dataclass(frozen=True, slots=True)
class Remarked:
    """Something was said freely. What counts is its clip; this is what a listener wrote down."""

    step: str
    about: str  # "stand by", "unable", "rejected", "deferred" (by whom), "closed" (what was done)
    text: str
    finding: int | None = None


@dataclass(frozen=True, slots=True)
class FindingOpened:
    """Something could not be done, or is not as it should be."""

    finding: Finding


@dataclass(frozen=True, slots=True)
class FindingCategorised:
    """It was said what stands in the way."""

    number: int
    category: Category


@dataclass(frozen=True, slots=True)
class FindingClosed:
    """A second person has closed a finding."""

    number: int
    by: str
    name: str


@dataclass(frozen=True, slots=True)
class TimesVoid:
    """What was done at these steps was timed, and the time was not measured to its end."""

    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StateAffirmed:
    """After an interruption or a handover, a state was found as it is recorded."""

    state: str
    value: str


@dataclass(frozen=True, slots=True)
class StateDiffers:
    """After an interruption or a handover, a state was found otherwise. A finding is open."""

    state: str
    recorded: str
    undoes: tuple[str, ...]  # steps that are done, and that this undoes


@dataclass(frozen=True, slots=True)
class WentBack:
    """Steps are undone, and their states put back; the record keeps both passes."""

    step: str  # where the run goes on
    undone: tuple[str, ...]  # in the order in which they were done
    states: tuple[tuple[str, str], ...]  # as they are again


@dataclass(frozen=True, slots=True)
class HandedOver:
    """One person's part is over; this is where it leaves the task."""

    step: str  # the first that is not done
    by: str | None
    done: tuple[str, ...]
    not_done: tuple[str, ...]  # steps left undone, by id
    states: tuple[tuple[str, str], ...]
    counts: tuple[tuple[str, int], ...]
    open_findings: tuple[Finding, ...]


Entry = (
    TaskBegun
    | StepBegun
    | NotHeeded
    | ReadingTaken
    | ReadingRefused
    | Replaced
    | PhraseReadBack
    | IdentityRead
    | DateRead
    | CountDiffers
    | ChoiceMade
    | Withdrawn
    | StepConfirmed
    | StepLeft
    | StepDeferred
    | AnsweredTooEarly
    | StoodBy
    | WentOn
    | TaskEnded
    | PersonIdentified
    | PersonRefused
    | FirstStated
    | SecondStated
    | StatementsDiffer
    | InspectionCalled
    | InspectionPassed
    | InspectionRejected
    | Remarked
    | FindingOpened
    | FindingCategorised
    | FindingClosed
    | TimesVoid
    | StateAffirmed
    | StateDiffers
    | WentBack
    | HandedOver
)
