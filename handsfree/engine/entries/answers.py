"""Entries about what was answered to a step, and what was not acted on."""

from dataclasses import dataclass
from decimal import Decimal
from enum import Enum

from handsfree.task.limits.forms import Verdict
from handsfree.task.validity import DateVerdict


class NotActedOn(Enum):
    """Why something heard was not acted on."""

    DOUBTFUL = "doubtful hearing"
    AMBIGUOUS = "more than one meaning"
    NOT_ALL = "not all of it was said"
    NOT_EXPECTED = "does not answer this step"
    NEGATED = "said with a not in it"
    SPOKEN_OVER = "said while the tool was speaking"
    STANDING_BY = "said while standing by"
    ANOTHER_PERSON = "said by another person than was asked"
    OFFER_DENIED = "what may have been heard was denied"


@dataclass(frozen=True, slots=True)
class NotHeeded:
    """Something was heard and not acted on."""

    step: str
    words: tuple[str, ...]
    reason: NotActedOn


@dataclass(frozen=True, slots=True)
class BelievedAtLast:
    """What no hearing was sure of is acted on: it was said again after it had been offered.

    Or, unsaid, it is held against what a second person states.
    """

    step: str
    words: tuple[str, ...]
    sayings: int  # how often it was asked for, with the last one


@dataclass(frozen=True, slots=True)
class BadlyHeard:
    """Somebody took back or corrected what was read back to them so often that they are told."""

    by: str  # a staff number, or the role
    misheard: int  # how often, so far in this run
    of: int  # of so many read backs that were affirmed or taken back


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
    # What the verdict is about where it is not the reading, such as "difference 120", in `unit`.
    judged: str | None = None


@dataclass(frozen=True, slots=True)
class ReadingRefused:
    """A value was stated that the step cannot take; it was asked for again."""

    step: str
    figures: str
    unit: str | None  # as said
    reason: str


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
class ChoiceMade:
    """One of the choices was found."""

    step: str
    choice: str
    accepted: bool


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
class Withdrawn:
    """The value waiting for confirmation was taken back."""

    step: str


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


AnswerEntry = (
    NotHeeded
    | BelievedAtLast
    | BadlyHeard
    | ReadingTaken
    | ReadingRefused
    | IdentityRead
    | DateRead
    | ChoiceMade
    | CountDiffers
    | Replaced
    | PhraseReadBack
    | Withdrawn
    | FirstStated
    | SecondStated
    | StatementsDiffer
)
