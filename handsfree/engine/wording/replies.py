"""Answers to what was heard, whatever the step is about."""

from datetime import timedelta

from handsfree.engine.effects import Say, Speech
from handsfree.engine.findings import Category
from handsfree.engine.phase import AT_A_STEP, Phase
from handsfree.engine.state import State
from handsfree.engine.waiting import Categorising, Identifying, Inspecting, Referencing
from handsfree.engine.wording.saying import say, sentence, spoken_time
from handsfree.engine.wording.steps import expected_answer
from handsfree.task.expectations import Expectation, ReadingExpected
from handsfree.task.model import Task
from handsfree.words.heard import Trouble


def withdrawn(expected: Expectation | None) -> tuple[Say, ...]:
    """The value was taken back, said aloud or not."""
    return (say(Speech.QUESTION, f"Withdrawn. {expected_answer(expected)}"),)


def no_use(heard: str, expected: str) -> tuple[Say, ...]:
    """Something was understood that does not answer the step."""
    return (say(Speech.QUESTION, f"I heard {heard}. {expected}"),)


def confirm_or_correct(heard: str) -> tuple[Say, ...]:
    """While a value waits, only a clear word moves it."""
    return no_use(heard, "Say affirm, or correction and the value.")


def defer_or_go_ahead(heard: str) -> tuple[Say, ...]:
    """Only a clear word defers a step."""
    return no_use(heard, "Say affirm when the step is deferred, or go ahead to try it again.")


def say_again(reason: str = "") -> tuple[Say, ...]:
    """Ask for a repetition; a reason that is an order is enough by itself."""
    if reason.startswith("say "):
        return (say(Speech.QUESTION, sentence(reason)),)
    return (say(Speech.QUESTION, f"Say again: {reason}." if reason else "Say again."),)


def all_of_it(state: State, expected: Expectation | None) -> str:
    """What to say in place of a part; with its unit a value is whole, whatever its gauge shows."""
    return "say all of it, with its unit" if _is_read(state, expected) else "say all of it"


def about_the_answer(state: State, expected: Expectation | None, trouble: Trouble | None) -> str:
    """Why to say the answer again; empty where nothing is known to be wrong with its sound."""
    if trouble is Trouble.TOO_LONG and _is_read(state, expected):
        return all_of_it(state, expected)
    return about_the_sound(trouble)


def _is_read(state: State, expected: Expectation | None) -> bool:
    return state.phase in AT_A_STEP and isinstance(expected, ReadingExpected)


def about_the_sound(trouble: Trouble | None) -> str:
    """Why to say it again, with what helps; empty where nothing is known to be wrong."""
    match trouble:
        case Trouble.TOO_LOUD:
            return "too loud, move the microphone away from your mouth"
        case Trouble.BROKEN_UP:
            return "the sound is broken, check the headset"
        case Trouble.MORE_SOUND:
            return "more was said than I heard, one person at a time"
        case Trouble.CUT_OFF:
            return "you began while I spoke, wait until I have finished"
        case Trouble.NO_PAUSE:
            return "there was no pause in the sound, wait for quiet or use the keyboard"
        case Trouble.TOO_LONG:
            return "say it in one go"
        case Trouble.TWO_VOICES:
            return "two voices at once, one person at a time"
        case Trouble.TOO_FAST:
            return "it sounds too fast, say it slower or check the headset"
        case Trouble.TOO_SLOW:
            return "it sounds too slow, say it quicker or check the headset"
        case Trouble.BROKEN_OFF:
            return "the end was cut off, say all of it"
    return ""


def readability(score: float) -> Say:
    """The answer to "how do you read", on the scale of ICAO Annex 10 Vol II, 5.2.1.8.4.

    5 is perfectly readable, 4 readable, 3 readable but with difficulty: the question costs so
    little that it is answered though it was hardly heard. Which score makes which is our choice.
    """
    return say(Speech.READ_BACK, f"Readability {5 if score >= 0.99 else 4 if score >= 0.8 else 3}.")


def answer_wanted(state: State) -> str:
    """What fits here, where no step is being answered."""
    match state.waits_for:
        case Identifying(role=role):
            return f"{role.value.capitalize()}, say your staff number."
        case Inspecting():
            return "Say inspected, or rejected."
        case Referencing():
            return "Say the reference, letter by letter."
        case Categorising():
            return f"Say {', '.join(each.said for each in Category)}."
    return "Say affirm, or negative."


_MINUTE = timedelta(minutes=1)


def where(task: Task, state: State) -> tuple[Say, ...]:
    """The position, the time in the step, what is waited for and what is open, in one sentence."""
    since = max(state.now - state.this_step.begun_at, timedelta(0))
    parts = [f"Step {min(state.step + 1, len(task.steps))} of {len(task.steps)}"]
    parts.append(
        f"for {spoken_time(since - since % _MINUTE)}"
        if since >= _MINUTE
        else "for less than a minute"
    )
    parts.append(_WAITS_FOR.get(state.phase, "waiting for the answer"))
    open_ = len(state.findings.open)
    parts.append(f"{open_} finding{'s' * (open_ != 1)} open" if open_ else "no finding open")
    then = " Say go ahead to go on." if state.phase is Phase.STANDING_BY else ""
    return (say(Speech.READ_BACK, f"{', '.join(parts)}.{then}"),)


_WAITS_FOR = {
    Phase.CONFIRMING: "waiting for affirm",
    Phase.OUTSIDE: "outside limits",
    Phase.STANDING_BY: "standing by",
    Phase.SECOND: "waiting for the second person",
    Phase.DEFERRING: "waiting for the deferral",
    Phase.REFERENCING: "waiting for the reference of the deferral",
    Phase.DEFERRAL_HEARD: "waiting for affirm of the deferral",
    Phase.IDENTIFYING: "waiting for a staff number",
    Phase.IDENTITY_HEARD: "waiting for affirm of a staff number",
    Phase.INSPECTING: "waiting for the inspector",
    Phase.CATEGORISING: "waiting for the category",
    Phase.CHECKING_STATES: "checking the states",
    Phase.GOING_BACK: "about to go back",
}
