"""What is heard now against what was acted on: whether it is another value, and how bad that is.

The engine judges both, in the state in which the words were heard. So units, corrections and limits
that depend on earlier readings count as they did then.
"""

from dataclasses import dataclass, replace
from enum import IntEnum
from fractions import Fraction

from handsfree.engine.advance import advance
from handsfree.engine.effects import Write
from handsfree.engine.entries import (
    ChoiceMade,
    DateRead,
    IdentityRead,
    NotActedOn,
    NotHeeded,
    ReadingRefused,
    ReadingTaken,
)
from handsfree.engine.judging import judge
from handsfree.engine.on_file import on_file
from handsfree.engine.phase import AT_A_STEP, Phase
from handsfree.rehear.fates import Fate
from handsfree.rehear.hearing_again import HeardAgain
from handsfree.rehear.moments import Moment
from handsfree.task.expectations import ReadingExpected
from handsfree.task.limits.forms import Verdict
from handsfree.task.step import Step
from handsfree.task.validity import DateVerdict
from handsfree.words.heard import Heard
from handsfree.words.meanings import BySecond, Dated, Identified, Meaning, Stated, Understood

_VALUES = Stated | Identified | Dated


class Weight(IntEnum):
    """How bad it is if what is heard now is right; the worst first."""

    LIMIT_CROSSED = 1  # one of the two is inside its limits, or accepted, and the other is not
    ANOTHER_ANSWER = 2  # such as "negative" where "affirm" was acted on
    ANOTHER_VALUE = 3  # with the same verdict


@dataclass(frozen=True, slots=True)
class Made:
    """What some words come to at a moment."""

    words: tuple[str, ...]
    value: str  # as it can be told, such as "65 bar"; "" where it is no value
    verdict: str  # such as "below minimum"; "" where there is none


@dataclass(frozen=True, slots=True)
class Difference:
    """Now another value is heard than the one that was acted on."""

    moment: Moment
    weight: Weight
    then: Made
    now: Made
    score: float  # of what is heard now
    believed: bool  # whether a run would act on it today; else it would ask again

    @property
    def matters(self) -> bool:
        """Whether somebody must listen to the clip: what was acted on still stands, and may be
        wrong. A doubtful hearing counts where a limit lies between the two.
        """
        if self.moment.fate is not Fate.STANDS:
            return False
        return self.believed or self.weight is Weight.LIMIT_CROSSED

    @property
    def rank(self) -> tuple[object, ...]:
        """The worst first: what stands, a limit crossed, what is surely heard; then in order."""
        stands = self.moment.fate is Fate.STANDS
        place = (str(self.moment.record), self.moment.entry)
        return (not stands, self.weight, not self.believed, -self.score, place)


@dataclass(frozen=True, slots=True)
class SameAgain:
    """The same is heard now, or nothing that would change anything."""

    believed: bool


@dataclass(frozen=True, slots=True)
class NotHeardAgain:
    """Nothing that fits is heard now; a run would ask again."""


@dataclass(frozen=True, slots=True)
class AskedThen:
    """It was not acted on then."""

    believed: bool  # whether a run would act on it today


Compared = Difference | SameAgain | NotHeardAgain | AskedThen


def compare(moment: Moment, again: HeardAgain) -> Compared:
    """What is heard now against what was acted on."""
    now = replace(
        moment.then,
        words=again.words,
        score=again.score,
        alternatives=again.alternatives,
        trouble=again.trouble,
        opinions=(),
    )
    believed = _acts_on(moment, now)
    if moment.acted_on is None:
        return AskedThen(believed)
    was, is_now = _meaning(moment, moment.acted_on), _meaning(moment, again.words)
    if is_now is None:
        return NotHeardAgain()
    if was is None or _same(moment, was, is_now):
        return SameAgain(believed)
    if not _changes(moment, moment.acted_on) and not _changes(moment, again.words):
        return SameAgain(believed)
    then, found = _made(moment, moment.acted_on, was), _made(moment, again.words, is_now)
    weight = _weight(moment, was, is_now)
    return Difference(moment, weight, then, found, again.score, believed)


def _meaning(moment: Moment, words: tuple[str, ...]) -> Meaning | None:
    parsed = moment.phrases.parse(words)
    if not isinstance(parsed, Understood):
        return None
    said = parsed.meaning
    return said.stated if isinstance(said, BySecond) else said


def _same(moment: Moment, one: Meaning, other: Meaning) -> bool:
    """Whether both say the same; of a value only the value counts, not how it was worded."""
    return _essence(moment, one) == _essence(moment, other)


def _essence(moment: Moment, said: Meaning) -> object:
    expected = _step(moment).expect
    match said:
        case Stated():
            asked = expected.unit if isinstance(expected, ReadingExpected) else None
            return ("value", Fraction(said.value), said.unit or asked)
        case Identified(characters=characters):
            return ("characters", characters)
        case Dated(iso=iso):
            return ("date", iso)
    return said


def _surely(moment: Moment, words: tuple[str, ...]) -> Heard:
    """The words, as if they had been heard beyond doubt."""
    return replace(moment.then, words=words, score=1.0, alternatives=(), opinions=(), trouble=None)


def _entries(moment: Moment, heard: Heard) -> list[object]:
    _, effects = advance(moment.task, moment.state, heard)
    return [each.entry for each in effects if isinstance(each, Write)]


def _changes(moment: Moment, words: tuple[str, ...]) -> bool:
    """Whether anything but the conversation follows from the words."""
    entries = _entries(moment, _surely(moment, words))
    return any(not isinstance(each, NotHeeded) for each in entries)


def _acts_on(moment: Moment, heard: Heard) -> bool:
    """Whether a run that hears this there acts on it today."""
    in_doubt = (NotActedOn.DOUBTFUL, NotActedOn.AMBIGUOUS)
    return bool(heard.words) and not any(
        isinstance(each, NotHeeded) and each.reason in in_doubt for each in _entries(moment, heard)
    )


def _weight(moment: Moment, was: Meaning, is_now: Meaning) -> Weight:
    before, after = _is_good(moment, was), _is_good(moment, is_now)
    if None not in (before, after) and before is not after:
        return Weight.LIMIT_CROSSED
    both_values = isinstance(was, _VALUES) and isinstance(is_now, _VALUES)
    return Weight.ANOTHER_VALUE if both_values else Weight.ANOTHER_ANSWER


def _is_good(moment: Moment, said: Meaning) -> bool | None:
    """Whether the step takes it: inside the limits, accepted, in date; None: it has no verdict."""
    match _judged(moment, said):
        case ReadingTaken(verdict=verdict):
            return verdict is Verdict.INSIDE
        case DateRead(verdict=date_verdict):
            return date_verdict is DateVerdict.IN_DATE
        case IdentityRead(accepted=accepted) | ChoiceMade(accepted=accepted):
            return accepted
    return None


_Judged = ReadingTaken | ReadingRefused | IdentityRead | DateRead | ChoiceMade


def _judged(moment: Moment, said: Meaning) -> _Judged | None:
    """What the step makes of it, where it waits for an answer."""
    if moment.state.phase not in AT_A_STEP:
        return None
    state, step = moment.state, _step(moment)
    known = on_file(moment.task, state)
    outcome = judge(step, dict(state.readings), said, Phase.ANSWERING, known)
    if outcome is None:
        return None
    return next((each for each in outcome.entries if isinstance(each, _Judged)), None)


def _made(moment: Moment, words: tuple[str, ...], said: Meaning) -> Made:
    judged = _judged(moment, said)
    verdict = ""
    match judged:
        case ReadingTaken(verdict=found):
            verdict = found.value
        case DateRead(verdict=of_date):
            verdict = of_date.value
        case IdentityRead(accepted=accepted, reason=reason):
            verdict = "accepted" if accepted else reason
        case ChoiceMade(accepted=accepted):
            verdict = "accepted" if accepted else "not what is required"
        case ReadingRefused(reason=reason):
            verdict = reason
    return Made(words, _told(moment, said), verdict)


def _told(moment: Moment, said: Meaning) -> str:
    expected = _step(moment).expect
    match said:
        case Stated(figures=figures, unit=unit):
            asked = expected.unit if isinstance(expected, ReadingExpected) else ""
            return f"{figures} {unit or asked}".strip()
        case Identified(characters=characters):
            return characters
        case Dated(iso=iso):
            return iso
    return ""


def _step(moment: Moment) -> Step:
    steps = moment.task.steps
    return steps[min(moment.state.step, len(steps) - 1)]
