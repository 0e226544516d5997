"""What can be heard at each moment."""

from functools import lru_cache

from handsfree.engine.findings import CATEGORY_SAID
from handsfree.engine.per_task import PerTask
from handsfree.engine.phase import AT_A_STEP, HARMLESS_ORDERS, HIGH_STAKES, ORDERED_IN, Phase
from handsfree.engine.state import State
from handsfree.task.expectations import (
    DateExpected,
    Expectation,
    IdentityExpected,
    ReadingExpected,
    fixed_answers,
)
from handsfree.task.model import Task
from handsfree.words.fractions import finest_parts
from handsfree.words.phrases import (
    CasualWords,
    Confirmation,
    Date,
    Identity,
    Negations,
    Order,
    Phrase,
    PhraseSet,
    Query,
    Reading,
    ReadingTwice,
    Seconded,
    Standard,
    Taken,
)
from handsfree.words.plain import INSPECTED, REJECTED, PlainWord
from handsfree.words.questions import Question
from handsfree.words.standard import StandardWord


def phrases_now(task: Task, state: State) -> PhraseSet:
    """The phrases valid at this moment.

    Every standard word and every phrase of the whole task can be heard at any step, acted on or
    not, and so can each of them with a "not". What cannot be heard is bent into what can: a
    technician who says "pin removed" where the step expects "pin fitted", or "pin not fitted", must
    be heard saying just that.
    """
    closes = can_close_finding(state)
    if state.phase not in _LISTENS_TO_THE_STEP or state.step >= len(task.steps):
        return _sets_of(task).away_from_the_step(state.phase, closes)
    step = task.steps[state.step]
    critical = step.critical or not set(fixed_answers(step.expect)).isdisjoint(
        state.given.confusable
    )
    return _sets_of(task).at_step(state.phase, closes, state.step, critical)


class _Sets:
    """The phrase sets of one task, each made once: it is the same in every run and at every try."""

    def __init__(self, task: Task) -> None:
        self._task = task
        self._fixed = _fixed_phrases(_phrases_of(task), _names_of(task))
        self._made: dict[tuple[Phase, bool, int | None, bool], PhraseSet] = {}

    def away_from_the_step(self, phase: Phase, closes: bool) -> PhraseSet:
        """In a phase that does not listen for what a step expects."""
        key = (phase, closes, None, False)
        if key not in self._made:
            fixed = (*self._fixed, *_orders(phase, closes))
            self._keep(key, _away_from_the_step(phase, fixed))
        return self._made[key]

    def at_step(self, phase: Phase, closes: bool, at: int, critical: bool) -> PhraseSet:
        """In a phase that does."""
        key = (phase, closes, at, critical)
        if key not in self._made:
            step = self._task.steps[at]
            values = _value_phrases(step.expect, step.read_back)
            fixed = (*self._fixed, *_orders(phase, closes))
            self._keep(key, PhraseSet((*values, *fixed), critical=critical))
        return self._made[key]

    def _keep(self, key: tuple[Phase, bool, int | None, bool], made: PhraseSet) -> None:
        if len(self._made) >= _MOST_SETS:
            self._made = {}
        self._made[key] = made


_sets_of = PerTask(_Sets)
# Each names every phrase of its task, and a task can have thousands of steps.
_MOST_SETS = 256


# A run that is not begun hears what its step would: so one step can be listened for by itself.
_LISTENS_TO_THE_STEP = AT_A_STEP | {Phase.READY}


def _away_from_the_step(phase: Phase, fixed: tuple[Phrase, ...]) -> PhraseSet:
    match phase:
        case Phase.IDENTIFYING | Phase.IDENTITY_HEARD:
            return PhraseSet((STAFF_NUMBER, *fixed))
        case Phase.REFERENCING | Phase.DEFERRAL_HEARD:
            return PhraseSet((REFERENCE, *fixed))
        case Phase.INSPECTING:
            fixed = (Confirmation(INSPECTED), Confirmation(REJECTED), *fixed)
        case Phase.CATEGORISING:
            categories = tuple(map(Confirmation, CATEGORY_SAID))
            return PhraseSet((*dict.fromkeys((*categories, *fixed)),))
        case Phase.REMARKING:
            # Only what every listener writes down freely is of use here, so each must be asked.
            words = tuple(Standard(word) for word in StandardWord)
            return PhraseSet((*words, Order(PlainWord.HELP)), critical=True)
    return PhraseSet(fixed, critical=phase in HIGH_STAKES)


STAFF_NUMBER = Identity(("staff number",))
REFERENCE = Identity(("reference",))


def _orders(phase: Phase, closes: bool) -> tuple[Phrase, ...]:
    """The plain words that mean something here, or that could be bent into what does.

    A finding can be closed only where there is one and a roster to close it by: `closes`.
    """
    if phase is Phase.STANDING_BY:
        waiting = {*HARMLESS_ORDERS, PlainWord.STOP}
        return tuple(Order(each) for each in PlainWord if each in waiting)
    at_a_step = phase in _LISTENS_TO_THE_STEP
    words = [each for each in PlainWord if at_a_step or phase in ORDERED_IN[each]]
    if not closes:
        words = [each for each in words if each is not PlainWord.CLOSE_FINDING]
    return tuple(Order(each) for each in words)


def can_close_finding(state: State) -> bool:
    """Whether there is a finding, and a roster that tells who may close it."""
    return bool(state.findings.open and state.crew.roster)


def _value_phrases(expected: Expectation | None, read_back: bool) -> tuple[Phrase, ...]:
    match expected:
        case ReadingExpected():
            stated: tuple[Reading | ReadingTwice | Identity, ...] = _readings(expected)
        case IdentityExpected():
            stated = (Identity(expected.names, expected.doubles),)
        case DateExpected():
            return (Date(expected.names),)
        case _:
            return ()
    return (*stated, *(Seconded(each) for each in stated)) if read_back else stated


def _readings(expected: ReadingExpected) -> tuple[Reading | ReadingTwice, ...]:
    once = Reading(
        names=expected.names,
        unit=expected.unit,
        digit_pairs=expected.digit_pairs,
        fractions=expected.fractions,
        repeats=expected.doubles,
        other_scales=tuple(scale.unit for scale in expected.other_scales),
        finest_parts=finest_parts(expected.resolution),
    )
    # Said once it is heard too, and asked about: it must not be bent into something said twice.
    return (once, ReadingTwice(once)) if expected.words_twice else (once,)


def _phrases_of(task: Task) -> tuple[str, ...]:
    """Every phrase that confirms or answers some step, in the order of the task."""
    return tuple(
        dict.fromkeys(phrase for step in task.steps for phrase in fixed_answers(step.expect))
    )


def _names_of(task: Task) -> tuple[str, ...]:
    """What people call each thing that some step has them read."""
    names: dict[str, None] = {}
    for step in task.steps:
        match step.expect:
            case ReadingExpected() | IdentityExpected() | DateExpected():
                names |= dict.fromkeys(step.expect.names)
    return tuple(names)


@lru_cache(maxsize=16)
def _fixed_phrases(phrases: tuple[str, ...], names: tuple[str, ...]) -> tuple[Phrase, ...]:
    questions = [Query(each) for each in Question if each is not Question.READING]
    if names:
        questions.append(Query(Question.READING, names))
    return (
        *(Confirmation(phrase) for phrase in phrases),
        *(Standard(word) for word in StandardWord),
        *questions,
        Taken(),
        CasualWords(),
        Negations((*phrases, *_NEGATED)),
    )


# A command with a "not" is another one too; the number of an order is not needed to see that.
_NEGATED = (
    *(spelling for word in StandardWord for spelling in word.spellings),
    *(word.value for word in PlainWord if not word.takes_number),
    *(INSPECTED, REJECTED),
    *CATEGORY_SAID,
)

# What can be said at any moment of any task, and is harmless to listen for.
ANYWHERE = (
    *_fixed_phrases((), ()),
    *(Order(each) for each in PlainWord if not each.takes_number),
)
