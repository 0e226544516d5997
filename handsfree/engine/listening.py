"""What can be heard at each moment."""

from functools import lru_cache

from handsfree.engine.state import Phase, State
from handsfree.task.model import (
    ChoiceExpected,
    ConfirmExpected,
    Expectation,
    IdentityExpected,
    ReadingExpected,
    Task,
)
from handsfree.words.phrases import Confirmation, Identity, Phrase, PhraseSet, Reading, Standard
from handsfree.words.standard import StandardWord


def phrases_now(task: Task, state: State) -> PhraseSet:
    """The phrases valid at this moment.

    Every standard word and every phrase of the whole task can be heard at any step, acted on or
    not. What cannot be heard is bent into what can: a technician who says "pin removed" where the
    step expects "pin fitted" must be heard saying just that.
    """
    expected = task.steps[state.step].expect if state.step < len(task.steps) else None
    if state.phase in (Phase.STANDING_BY, Phase.DEFERRING):
        expected = None
    return PhraseSet((*_value_phrases(expected), *_fixed_phrases(_phrases_of(task))))


def _value_phrases(expected: Expectation | None) -> tuple[Phrase, ...]:
    match expected:
        case ReadingExpected():
            return (Reading(expected.names, expected.unit, expected.digit_pairs),)
        case IdentityExpected():
            return (Identity((expected.identity,)),)
    return ()


def _phrases_of(task: Task) -> tuple[str, ...]:
    """Every phrase that confirms or answers some step, in the order of the task."""
    found: dict[str, None] = {}
    for step in task.steps:
        match step.expect:
            case ConfirmExpected(confirm=phrase):
                found[phrase] = None
            case ChoiceExpected(choose=phrases):
                found |= dict.fromkeys(phrases)
    return tuple(found)


@lru_cache(maxsize=16)
def _fixed_phrases(phrases: tuple[str, ...]) -> tuple[Phrase, ...]:
    return (
        *(Confirmation(phrase) for phrase in phrases),
        *(Standard(word) for word in StandardWord),
    )
