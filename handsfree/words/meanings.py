"""What an utterance means."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from handsfree.words.dates import as_date
from handsfree.words.fractions import value_of
from handsfree.words.plain import PlainWord
from handsfree.words.questions import Question
from handsfree.words.standard import StandardWord


@dataclass(frozen=True, slots=True)
class Confirmed:
    """A confirmation phrase was said."""

    phrase: str


@dataclass(frozen=True, slots=True)
class Stated:
    """A number was stated, as a reading or on its own."""

    figures: str  # as said, leading zeros kept, such as "0293", "-5.50" or "3 5/16"
    unit: str | None = None  # the unit as said; None: no unit was said
    corrects: bool = False  # said after "correction"
    replaces: "tuple[Stated, ...]" = ()  # what the same utterance stated and then corrected
    twice: bool = False  # the same value was said twice
    # Figures of other numbers that sound nearly the same as these words: "fifteen" and "fifty". The
    # figures alone say what was meant, so this is no part of the meaning.
    alike: tuple[str, ...] = field(default=(), compare=False)

    @property
    def value(self) -> Decimal:
        """The figures as a number, neither rounded nor converted."""
        return value_of(self.figures)


@dataclass(frozen=True, slots=True)
class Identified:
    """A serial or part number was said."""

    characters: str  # letters and figures without hyphens, such as "K047B"
    corrects: bool = False  # said after "correction"
    replaces: tuple[str, ...] = ()  # what the same utterance read out and then corrected


@dataclass(frozen=True, slots=True)
class Dated:
    """A date was said."""

    iso: str  # year, month and day as said, such as "2027-03-15"; the day need not exist
    corrects: bool = False  # said after "correction"
    replaces: tuple[str, ...] = ()  # what the same utterance said and then corrected

    @property
    def day(self) -> date | None:
        """The day; None where the calendar has no such day."""
        return as_date(self.iso)


@dataclass(frozen=True, slots=True)
class Spoke:
    """A standard word was said."""

    word: StandardWord


@dataclass(frozen=True, slots=True)
class Ordered:
    """A plain word was said, with its number where it takes one."""

    word: PlainWord
    number: int | None = None


@dataclass(frozen=True, slots=True)
class BySecond:
    """A value or identity that the second person states, with "second" said first."""

    stated: Stated | Identified


@dataclass(frozen=True, slots=True)
class TookBack:
    """What was said before is taken back in everyday words; no value was said in its place."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A question was asked, and about what where it is about something that was read."""

    question: Question
    about: str = ""


@dataclass(frozen=True, slots=True)
class Casual:
    """Words that people say without looking, such as "okay". They answer nothing."""


@dataclass(frozen=True, slots=True)
class Negated:
    """A phrase was said with a "not" before, in or behind it, and so it was not said."""

    phrase: str


Meaning = (
    Confirmed
    | Stated
    | Identified
    | Dated
    | Spoke
    | Ordered
    | BySecond
    | TookBack
    | Asked
    | Casual
    | Negated
)


@dataclass(frozen=True, slots=True)
class Understood:
    """The utterance has exactly one meaning."""

    meaning: Meaning


@dataclass(frozen=True, slots=True)
class Ambiguous:
    """The utterance could mean different things; it is asked about, never guessed."""

    reason: str  # a clause that can be spoken, such as "digit pairs can be two numbers"


@dataclass(frozen=True, slots=True)
class NotUnderstood:
    """No phrase of the set is spelled by these words."""

    words: tuple[str, ...]
    reason: str = "these words are none of the phrases that fit here"


Parse = Understood | Ambiguous | NotUnderstood


def only_waits(parsed: Parse) -> bool:
    """Whether the words do nothing but make the work wait, which is safe where nobody said them."""
    match parsed:
        case Understood(Ordered(PlainWord.STOP) | Spoke(StandardWord.STAND_BY)):
            return True
    return False
