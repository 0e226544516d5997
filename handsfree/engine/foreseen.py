"""What the tool may have to say next: the engine is pure, so its answer can be known beforehand.

All this is for a state in which the tool listens.
"""

from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal

from handsfree.engine.advance import advance
from handsfree.engine.effects import Say
from handsfree.engine.events import Event, Spoken
from handsfree.engine.phase import ACTED_ON, AT_A_STEP, Phase
from handsfree.engine.state import State
from handsfree.task.expectations import (
    ChoiceExpected,
    ConfirmExpected,
    Expectation,
    IdentityExpected,
    ReadingExpected,
)
from handsfree.task.limits.forms import NoLimits
from handsfree.task.model import Task
from handsfree.words.alphabet import speak_characters
from handsfree.words.heard import Heard
from handsfree.words.plain import INSPECTED
from handsfree.words.spoken_numbers import speak_number
from handsfree.words.standard import StandardWord
from handsfree.words.units import speak_unit

_NOW = timedelta(0)


def answer_to(task: Task, state: State, heard: Heard) -> tuple[str, ...]:
    """What the tool would say to `heard` until it listens again, in order."""
    return _after(task, state, heard)[1]


def likely_answers(task: Task, state: State) -> tuple[str, ...]:
    """What the tool may say to what is likely to be heard now, likeliest first, each text once.

    The read-back of a value cannot be known, but its verdicts can: they are sentences of their own.
    """
    texts: dict[str, None] = {}
    for words in _likely_words(task, state):
        after, said = _after(task, state, _heard(words))
        texts |= dict.fromkeys(said)
        if after.phase is Phase.CONFIRMING is not state.phase:
            # Once the value has been affirmed, the next step is spoken.
            texts |= dict.fromkeys(answer_to(task, after, _heard(StandardWord.AFFIRM.value)))
    return tuple(texts)


def _after(task: Task, state: State, heard: Heard) -> tuple[State, tuple[str, ...]]:
    """The state in which the tool listens again, and what it has said by then."""
    event: Event = heard
    said: list[str] = []
    while True:
        state, effects = advance(task, state, event)
        said += [each.text for each in effects if isinstance(each, Say)]
        if not state.speaking:
            return state, tuple(said)
        event = Spoken()


def _likely_words(task: Task, state: State) -> Iterator[str]:
    if state.phase is Phase.STANDING_BY:
        yield StandardWord.GO_AHEAD.value
    elif StandardWord.AFFIRM in ACTED_ON[state.phase]:
        yield StandardWord.AFFIRM.value
        yield StandardWord.NEGATIVE.value
    elif state.phase is Phase.INSPECTING:
        yield INSPECTED
    elif state.phase in AT_A_STEP:
        yield from _right_words(task.steps[state.step].expect, state)
    yield ""  # a doubtful hearing
    yield StandardWord.SAY_AGAIN.value


def _right_words(expected: Expectation | None, state: State) -> Iterator[str]:
    match expected:
        case ConfirmExpected(confirm=phrase):
            yield phrase
        case ChoiceExpected(choose=phrases, required=required):
            yield from sorted(phrases, key=lambda each: each != required)
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
