"""What the engine puts on the record: each decision, with all it rests on."""

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from enum import Enum

from handsfree.task.limits import Verdict
from handsfree.task.validity import DateVerdict


class NotActedOn(Enum):
    """Why something heard was not acted on."""

    DOUBTFUL = "doubtful hearing"
    AMBIGUOUS = "more than one meaning"
    NOT_EXPECTED = "does not answer this step"
    SPOKEN_OVER = "said while the tool was speaking"
    STANDING_BY = "said while standing by"


@dataclass(frozen=True, slots=True)
class TaskBegun:
    """The task was started."""

    task: str
    revision: str
    approved_data: str
    approved_data_revision: str
    confusable: tuple[str, ...] = ()  # phrases that sound like another one of the task
    variants: tuple[tuple[str, str], ...] = ()  # what this run is for, by name


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
)
