"""What can be heard at each moment."""

from functools import lru_cache

from handsfree.engine.state import Phase, State
from handsfree.task.model import (
    ChoiceExpected,
    ConfirmExpected,
    DateExpected,
    Expectation,
    IdentityExpected,
    ReadingExpected,
    Task,
)
from handsfree.words.phrases import (
    Confirmation,
    Date,
    Identity,
    Phrase,
    PhraseSet,
    Reading,
    ReadingTwice,
    Standard,
)
from handsfree.words.standard import StandardWord


def phrases_now(task: Task, state: State) -> PhraseSet:
    """The phrases valid at this moment.

    Every standard word and every phrase of the whole task can be heard at any step, acted on or
    not. What cannot be heard is bent into what can: a technician who says "pin removed" where the
    step expects "pin fitted" must be heard saying just that.
    """
    waits_for_a_word = state.phase in (Phase.STANDING_BY, Phase.DEFERRING)
    if waits_for_a_word or state.step >= len(task.steps):
        return PhraseSet(_fixed_phrases(_phrases_of(task)))
    step = task.steps[state.step]
    return PhraseSet(
        (*_value_phrases(step.expect), *_fixed_phrases(_phrases_of(task))),
        critical=step.critical or not set(_fixed_answers(step.expect)).isdisjoint(state.confusable),
    )


def _value_phrases(expected: Expectation | None) -> tuple[Phrase, ...]:
    match expected:
        case ReadingExpected():
            return _readings(expected)
        case IdentityExpected():
            return (Identity(expected.names, expected.doubles),)
        case DateExpected():
            return (Date(expected.names),)
    return ()


def _readings(expected: ReadingExpected) -> tuple[Phrase, ...]:
    once = Reading(
        names=expected.names,
        unit=expected.unit,
        digit_pairs=expected.digit_pairs,
        fractions=expected.fractions,
        repeats=expected.doubles,
        other_scales=tuple(scale.unit for scale in expected.other_scales),
    )
    # Said once it is heard too, and asked about: it must not be bent into something said twice.
    return (once, ReadingTwice(once)) if expected.words_twice else (once,)


def _phrases_of(task: Task) -> tuple[str, ...]:
    """Every phrase that confirms or answers some step, in the order of the task."""
    return tuple(
        dict.fromkeys(phrase for step in task.steps for phrase in _fixed_answers(step.expect))
    )


def _fixed_answers(expected: Expectation | None) -> tuple[str, ...]:
    match expected:
        case ConfirmExpected(confirm=phrase):
            return (phrase,)
        case ChoiceExpected(choose=phrases):
            return phrases
    return ()


@lru_cache(maxsize=16)
def _fixed_phrases(phrases: tuple[str, ...]) -> tuple[Phrase, ...]:
    return (
        *(Confirmation(phrase) for phrase in phrases),
        *(Standard(word) for word in StandardWord),
    )
