"""What is said where somebody was not heard surely."""

import re

from handsfree.engine.effects import Say, Speech
from handsfree.engine.phase import ACTED_ON, AT_A_STEP, Phase
from handsfree.engine.state import State
from handsfree.engine.wording.help import asked_again
from handsfree.engine.wording.saying import say
from handsfree.task.expectations import (
    DateExpected,
    Expectation,
    IdentityExpected,
    ReadingExpected,
)
from handsfree.words.meanings import Confirmed, Dated, Identified, Meaning, Ordered, Spoke
from handsfree.words.standard import StandardWord


def in_another_form(state: State, expected: Expectation | None) -> tuple[Say, ...]:
    """Ask for the same in another form, in which other sounds carry it.

    What is in question is told with it, or else what could be said: once more the same way would
    help nobody.
    """
    question = say(Speech.QUESTION, f"Say again{_form(state, expected)}.")
    return (question, *(state.value_said or asked_again(expected, state)))


def _form(state: State, expected: Expectation | None) -> str:
    if state.phase is Phase.IDENTIFYING:
        return " slowly, one character at a time"
    if StandardWord.AFFIRM in ACTED_ON[state.phase]:
        return ": affirmative, or negative"
    if state.phase not in AT_A_STEP:
        return ""
    match expected:
        case ReadingExpected() | DateExpected():
            return " slowly, each digit by itself"
        case IdentityExpected():
            return " slowly, one character at a time"
    return ""


def with_affirmative(asks: Say) -> Say:
    """A question to somebody whose "affirm" is not heard, in the word that is: people say it back.

    Not to everyone: it ends like "negative", for which ICAO has "affirm" in its place.
    """
    if asks.speech is not Speech.QUESTION:
        return asks
    return say(asks.speech, _AFFIRM.sub(r"\1ffirmative", asks.text))


_AFFIRM = re.compile(r"\b([Aa])ffirm\b")


def offered(state: State, words: tuple[str, ...], meaning: Meaning) -> tuple[Say, ...]:
    """What may have been heard; only if it is right does the person say it again."""
    if meaning == Spoke(StandardWord.NEGATIVE):
        text = "I may have heard negative. If that is right, say negative again."
        return (say(Speech.QUESTION, text),)
    match meaning:
        case Spoke(word=StandardWord.AFFIRM):
            again = "say affirmative"
        case Confirmed() if state.phase in AT_A_STEP:
            again = "say it again, then affirm"
        case Confirmed() | Spoke() | Ordered():
            again = "say it again"
        case Identified() | Dated():
            again = "say it again, one character at a time, then affirm"
        case _:
            again = "say it again, digit by digit, then affirm"
    text = f"I may have heard {' '.join(words)}. If that is right, {again}. If not, say negative."
    return (say(Speech.QUESTION, text),)


def said_again_first() -> tuple[Say, ...]:
    """Two people have stated the same value, and neither was heard surely."""
    text = "Neither was heard surely: say the value once more, digit by digit, then affirm."
    return (say(Speech.QUESTION, text),)


def once_more() -> tuple[Say, ...]:
    """A mistake would cost so much here that it is said twice."""
    return (say(Speech.QUESTION, "Once more, in the same way."),)


def not_heard(times: int, number: int) -> tuple[Say, ...]:
    """Too many doubtful hearings: the step waits, and there are other ways on."""
    return (
        say(
            Speech.READ_BACK,
            f"I did not hear you well, {times} times. Step {number} waits. "
            "Come closer or wait for quiet, then say go ahead. "
            "Then another person may say it, or type it, or say unable.",
        ),
    )


def go_ahead_not_heard(because: str) -> tuple[Say, ...]:
    """The task stands by and somebody wants it to go on, as it seems; `because`: what is wrong."""
    why = f": {because}" if because else ", closer to the microphone"
    return (say(Speech.QUESTION, f"Say go ahead again{why}. Or type it."),)


def badly_heard() -> Say:
    """Said once to somebody who was misheard three times of ten."""
    return say(
        Speech.NOTICE,
        "I hear you badly. Speak closer, digit by digit, or use the keyboard.",
    )
