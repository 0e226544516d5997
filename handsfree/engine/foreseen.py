"""What the tool may have to say next. The engine is pure, so its answer can be known beforehand."""

from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal

from handsfree.engine.advance import UnexpectedEvent, advance
from handsfree.engine.effects import Say
from handsfree.engine.events import Spoken
from handsfree.engine.state import Phase, State
from handsfree.task.limits import NoLimits
from handsfree.task.model import (
    ChoiceExpected,
    ConfirmExpected,
    Expectation,
    IdentityExpected,
    ReadingExpected,
    Task,
)
from handsfree.words.alphabet import speak_characters
from handsfree.words.heard import Heard
from handsfree.words.numerals import speak_number
from handsfree.words.standard import StandardWord
from handsfree.words.units import speak_unit

_NOW = timedelta(0)


def answer_to(task: Task, state: State, heard: Heard) -> tuple[str, ...]:
    """What the tool would say to `heard`, in order; nothing where it would not answer."""
    return _said(_after(task, state, heard))


def likely_answers(task: Task, state: State) -> tuple[str, ...]:
    """What the tool may say to what is likely to be heard now, likeliest first, each text once.

    The read-back of a value cannot be known, but its verdicts can: they are sentences of their own.
    """
    texts: dict[str, None] = {}
    for words in _likely_words(task, state):
        after = _after(task, state, _heard(words))
        texts |= dict.fromkeys(_said(after))
        if after is not None and after[0].phase is Phase.CONFIRMING is not state.phase:
            # Once the value has been affirmed, the next step is spoken.
            spoken, _ = advance(task, after[0], Spoken())
            texts |= dict.fromkeys(answer_to(task, spoken, _heard(StandardWord.AFFIRM.value)))
    return tuple(texts)


def _after(task: Task, state: State, heard: Heard) -> "tuple[State, tuple[object, ...]] | None":
    try:
        return advance(task, state, heard)
    except UnexpectedEvent:
        return None


def _said(after: "tuple[State, tuple[object, ...]] | None") -> tuple[str, ...]:
    return tuple(each.text for each in after[1] if isinstance(each, Say)) if after else ()


def _likely_words(task: Task, state: State) -> Iterator[str]:
    if state.phase is Phase.STANDING_BY:
        yield StandardWord.GO_AHEAD.value
    elif state.phase is Phase.CONFIRMING:
        yield StandardWord.AFFIRM.value
        yield StandardWord.NEGATIVE.value
    elif state.step < len(task.steps):
        yield from _right_words(task.steps[state.step].expect, state)
    yield ""  # a doubtful hearing
    yield StandardWord.SAY_AGAIN.value


def _right_words(expected: Expectation | None, state: State) -> Iterator[str]:
    match expected:
        case ConfirmExpected(confirm=phrase):
            yield phrase
        case ChoiceExpected(choose=phrases, required=required):
            yield required
            yield from (each for each in phrases if each != required)
        case IdentityExpected(accept=accepted) if accepted:
            yield speak_characters(accepted[0]).lower()
        case ReadingExpected():
            for value in _values_of_each_verdict(expected, state):
                yield f"{speak_number(value).lower()} {speak_unit(expected.unit).lower()}"


def _values_of_each_verdict(expected: ReadingExpected, state: State) -> Iterator[Decimal]:
    try:
        bounds = expected.limits.bounds(dict(state.readings))
    except NoLimits:
        return
    lowest = bounds.lowest_readable(expected.resolution)
    highest = bounds.highest_readable(expected.resolution)
    for inside in (lowest, highest):
        if inside is not None:
            yield inside
            break
    if lowest is not None:
        yield lowest - expected.resolution
    if highest is not None:
        yield highest + expected.resolution


def _heard(words: str) -> Heard:
    return Heard(tuple(words.split()), 1.0 if words else 0.0, (), (), _NOW, _NOW)
