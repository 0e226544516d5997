"""Sentences that tell what can be said, and answer questions."""

from collections.abc import Iterable
from decimal import Decimal

from handsfree.engine.effects import Say, Speech
from handsfree.engine.phase import ACTED_ON, HARMLESS_ORDERS, HARMLESS_WORDS, ORDERED_IN, Phase
from handsfree.engine.state import State
from handsfree.engine.waiting import (
    AwaitingSecond,
    Confirming,
    Deferring,
    Outside,
    StandingBy,
    WhatWasDone,
    WhoDeferred,
)
from handsfree.engine.wording.replies import answer_wanted
from handsfree.engine.wording.saying import say, sentence
from handsfree.task.expectations import (
    ChoiceExpected,
    ConfirmExpected,
    DateExpected,
    Expectation,
    IdentityExpected,
    ReadingExpected,
)
from handsfree.words.fractions import as_fraction, speak_measured
from handsfree.words.plain import PlainWord
from handsfree.words.spoken_numbers import speak_number
from handsfree.words.standard import StandardWord
from handsfree.words.units import speak_unit

# What a person who asks for help may need next, in this order.
_WORDS_WANTED = (
    StandardWord.SAY_AGAIN,
    StandardWord.READ_BACK,
    StandardWord.STAND_BY,
    StandardWord.UNABLE,
)
_ORDERS_WANTED = (PlainWord.WHERE_AM_I, PlainWord.BACK_TO_STEP, PlainWord.HAND_OVER)


def what_to_say(expected: Expectation | None, state: State) -> str:
    """What moves the run on from here, as an order; `expected` is what the step waits for."""
    match state.waits_for:
        case Confirming():
            return "Say affirm, or negative."
        case Outside():
            return f"{in_words(expected)} Or say unable."
        case AwaitingSecond():
            return f"The second person speaks now. {in_words(expected)}"
        case Deferring():
            return "Say affirm when the step is deferred, or go ahead to try it again."
        case StandingBy():
            return "Say go ahead to go on."
        case WhoDeferred():
            return "Say the name of who has deferred it."
        case WhatWasDone():
            return "Say what was done."
    match state.phase:
        case Phase.ANSWERING:
            return in_words(expected)
        case Phase.REMARKING:
            return "Say why, in your own words."
    return answer_wanted(state)


def in_words(expected: Expectation | None) -> str:
    """The words that answer a step."""
    match expected:
        case ConfirmExpected(confirm=phrase):
            return f"Say {phrase}."
        case ChoiceExpected(choose=phrases):
            return f"Say {', or '.join(phrases)}."
        case ReadingExpected(reading=quantity):
            scales = (expected.unit, *(scale.unit for scale in expected.other_scales))
            units = " or ".join(speak_unit(unit) for unit in scales)
            twice = " twice, with the unit each time" if expected.words_twice else ""
            return f"Say {quantity} and the value{twice}, in {units}."
        case IdentityExpected(identity=name):
            return f"Say the {name}, each letter and figure."
        case DateExpected(date=name):
            return f"Say the {name}: day, month by name, year."
    return "Say go ahead."


def asked_again(expected: Expectation | None, state: State) -> tuple[Say, ...]:
    """What moves the run on from here, to be said after an answer."""
    return (say(Speech.QUESTION, what_to_say(expected, state)),)


def help_(expected: Expectation | None, state: State) -> tuple[Say, ...]:
    """All that can be said now: what moves the run on, then what else there is."""
    is_waiting = state.phase is Phase.STANDING_BY
    acted_on = HARMLESS_WORDS if is_waiting else ACTED_ON[state.phase]
    words = [each.value for each in _WORDS_WANTED if each in acted_on]
    orders = [
        f"{each.value} and its number" if each.takes_number else each.value
        for each in _ORDERS_WANTED
        if (each in HARMLESS_ORDERS if is_waiting else state.phase in ORDERED_IN[each])
    ]
    asks = say(Speech.QUESTION, what_to_say(expected, state))
    if not (words or orders):
        return (asks,)
    return (say(Speech.NOTICE, f"These can be said: {', '.join((*words, *orders))}."), asks)


def heard_but_no_use(words: str, to_say: str, *, in_full: bool) -> tuple[Say, ...]:
    """Words were heard well and are of no use here; in full the first time, then short."""
    heard = f"I heard {words}." if words else "I know no such words."
    return (say(Speech.QUESTION, f"{heard} {to_say}" if in_full else to_say),)


def not_so(words: str, number: int, to_say: str) -> tuple[Say, ...]:
    """A phrase was said with a "not" in it, so nothing is done."""
    text = f"I heard {words}. Step {number} waits. When it is so: {to_say} Else say unable."
    return (say(Speech.QUESTION, text),)


def taken_back(expected: Expectation | None) -> tuple[Say, ...]:
    """A value was taken back in everyday words; the new one is said by itself."""
    by_figures = " Each figure by itself." if isinstance(expected, ReadingExpected) else ""
    return (say(Speech.QUESTION, f"Taken back. {in_words(expected)}{by_figures}"),)


def noted() -> tuple[Say, ...]:
    """Why the task waits was said."""
    return (say(Speech.READ_BACK, "Noted. Say go ahead to go on."),)


def which_step(last_done: int | None) -> tuple[Say, ...]:
    """Ask which step is meant by "go back"."""
    last = f" The last one done was step {last_done}." if last_done else ""
    return (say(Speech.QUESTION, f"Say back to step, and its number.{last}"),)


def delivery_changed(word: PlainWord, *, is_bound: bool) -> Say:
    """The tool speaks in another way from here on, or cannot."""
    how = word.value.removeprefix("speak ")
    text = f"I cannot speak {how} than this." if is_bound else f"I speak {how}."
    return say(Speech.READ_BACK, text)


# Answers to questions, each in one sentence.


def limits(quantity: str, unit: str, lowest: str, highest: str) -> Say:
    """The limits of a reading, as the scale shows them; empty: none on that side."""
    spoken = speak_unit(unit)
    if lowest and highest:
        span = f"{lowest} to {highest}" if lowest != highest else lowest
        return _answer(f"{quantity.capitalize()} limits, {span} {spoken}.")
    bound = f"at least {lowest}" if lowest else f"at most {highest}"
    return _answer(f"{quantity.capitalize()} limits, {bound} {spoken}.")


def as_shown(limit: Decimal | None, expected: ReadingExpected) -> str:
    """One limit for the ear; empty where there is none."""
    if limit is None:
        return ""
    return speak_measured(as_fraction(limit)) if expected.fractions else speak_number(limit)


def no_limits(why: str = "") -> Say:
    """The step has no limits, or none that are known."""
    return _answer(f"There are no limits: {why}." if why else "This step has no limits.")


def warnings(texts: Iterable[str], cautions: Iterable[str]) -> tuple[Say, ...]:
    """The warnings and cautions of the step once more."""
    says = (
        *(say(Speech.WARNING, f"Warning. {text}") for text in texts),
        *(say(Speech.CAUTION, f"Caution. {text}") for text in cautions),
    )
    return says or (_answer("This step has no warning."),)


def tools(names: tuple[str, ...]) -> Say:
    """What the step uses; a name ends at its first comma, what follows describes it."""
    called = [name.partition(",")[0] for name in names]
    return _answer(sentence(" and ".join(called)) if called else "This step names no tool.")


def was_read(name: str, value: str, step: int) -> Say:
    """A value or a number that was affirmed, and where."""
    return _answer(f"{name.capitalize()} {value}, at step {step}.")


def not_read(name: str) -> Say:
    """Nothing of that name was affirmed yet."""
    return _answer(f"No {name} is on the record yet.")


def read_it_first(name: str) -> Say:
    """The right number is not said before it was read: it would be an invitation to repeat it."""
    return _answer(f"Read the {name} yourself. I do not say it first.")


def no_value_now() -> Say:
    """A second person reads now, who must hear no value that could be the one of the first."""
    return _answer("I tell no value before the second person has stated theirs.")


def steps_left(step: int, steps: int) -> Say:
    """How far the task is."""
    return _answer(f"Step {step} of {steps}, {steps - step} after it.")


def _answer(text: str) -> Say:
    return say(Speech.READ_BACK, text)
