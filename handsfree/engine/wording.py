"""Every sentence that the tool says."""

from handsfree.engine.effects import Say, Speech
from handsfree.task.limits import Bounds, Verdict
from handsfree.task.model import (
    ChoiceExpected,
    ConfirmExpected,
    Expectation,
    IdentityExpected,
    ReadingExpected,
    Step,
    Task,
)
from handsfree.words.alphabet import speak_characters
from handsfree.words.numerals import speak_figures, speak_number, speak_text
from handsfree.words.units import speak_unit

RELEASE = "This tool certifies nothing. Release to service is for licensed certifying staff."


def opening(task: Task) -> tuple[Say, ...]:
    """What is said before the first step."""
    data = task.approved_data
    return (
        *(_say(Speech.NOTICE, text) for text in task.notice),
        _say(Speech.NOTICE, f"{_ended(task.title)} Task revision {task.revision}."),
        _say(
            Speech.NOTICE,
            f"It follows {data.reference}, revision {data.revision}, which outranks it.",
        ),
        *(_say(Speech.WARNING, f"Warning. {text}") for text in task.warning),
    )


def step(number: int, step: Step) -> tuple[Say, ...]:
    """Warnings and cautions, then the instruction, then what to answer."""
    return (
        *(_say(Speech.WARNING, f"Warning. {text}") for text in step.warning),
        *(_say(Speech.CAUTION, f"Caution. {text}") for text in step.caution),
        *(_say(Speech.NOTE, f"Note. {text}") for text in step.note),
        _say(
            Speech.INSTRUCTION, f"Step {number}. {_ended(step.instruction)}{_answer(step.expect)}"
        ),
    )


def expected_answer(expected: Expectation | None) -> str:
    """What the step waits for, as an order."""
    match expected:
        case ConfirmExpected():
            return f"Report {expected.confirm}."
        case ReadingExpected():
            return f"Report {expected.reading} in {speak_unit(expected.unit)}."
        case IdentityExpected():
            return f"Read out the {expected.identity}."
        case ChoiceExpected():
            return f"Report {' or '.join(expected.choose)}."
    return ""


def confirmed(phrase: str) -> Say:
    """The confirmation as it was heard."""
    return _say(Speech.READ_BACK, _ended(phrase.capitalize()))


def reading(
    value_figures: str, expected: ReadingExpected, bounds: Bounds, verdict: Verdict
) -> tuple[Say, ...]:
    """The value digit by digit with its verdict, and what may be said now."""
    value = f"{speak_figures(value_figures).capitalize()} {speak_unit(expected.unit)}."
    if verdict is Verdict.INSIDE:
        return (
            _say(Speech.READ_BACK, f"{value} Inside limits."),
            _say(Speech.QUESTION, "Affirm?"),
        )
    limit = (
        bounds.lowest_readable(expected.resolution)
        if verdict is Verdict.BELOW
        else bounds.highest_readable(expected.resolution)
    )
    spoken_limit = speak_number(limit) if limit is not None else ""
    return (
        _say(Speech.READ_BACK, f"{value} {verdict.value.capitalize()}, {spoken_limit}."),
        _say(Speech.QUESTION, "Correct it, measure again, or say unable."),
    )


def no_limits(value_figures: str, expected: ReadingExpected, why: str) -> tuple[Say, ...]:
    """The value cannot be judged, so it is not taken; `why` follows from earlier readings."""
    value = f"{speak_figures(value_figures).capitalize()} {speak_unit(expected.unit)}."
    return (
        _say(Speech.READ_BACK, f"{value} Not accepted. There are no limits for it: {why}."),
        _say(Speech.QUESTION, "Say unable, and tell your supervisor."),
    )


def wrong_unit(said: str, expected: ReadingExpected) -> tuple[Say, ...]:
    """The value came in another unit."""
    own = speak_unit(expected.unit)
    return (
        _say(Speech.QUESTION, f"I heard {speak_unit(said)}. Report {expected.reading} in {own}."),
    )


def too_fine(expected: ReadingExpected) -> tuple[Say, ...]:
    """The value has more figures than the gauge can show."""
    finest = f"{speak_number(expected.resolution)} {speak_unit(expected.unit)}"
    return (
        _say(
            Speech.QUESTION, f"The scale reads in steps of {finest}. Read {expected.reading} again."
        ),
    )


def identity(characters: str, expected: IdentityExpected, accepted: bool) -> tuple[Say, ...]:
    """The identity character by character, and whether the task names it.

    The right one is not spoken: it would be an invitation to read it off the voice.
    """
    read_back = f"{expected.identity.capitalize()} {speak_characters(characters)}."
    if accepted:
        return (_say(Speech.READ_BACK, read_back), _say(Speech.QUESTION, "Affirm?"))
    return (
        _say(Speech.READ_BACK, f"{read_back} The task does not name it."),
        _say(Speech.QUESTION, "Read it again, or say unable."),
    )


def wrong_choice(choice: str, expected: ChoiceExpected) -> tuple[Say, ...]:
    """A choice that does not let the step go on."""
    return (
        _say(Speech.READ_BACK, f"{choice.capitalize()}. The task needs {expected.required}."),
        _say(Speech.QUESTION, "Put it right and report, or say unable."),
    )


def withdrawn(expected: Expectation | None) -> tuple[Say, ...]:
    """The value was taken back."""
    return (_say(Speech.QUESTION, f"Withdrawn. {expected_answer(expected)}"),)


def no_use(heard: str, expected: str) -> tuple[Say, ...]:
    """Something was understood that does not answer the step."""
    return (_say(Speech.QUESTION, f"I heard {heard}. {expected}"),)


def confirm_or_correct(heard: str) -> tuple[Say, ...]:
    """While a value waits, only a clear word moves it."""
    return no_use(heard, "Say affirm, or correction and the value.")


def say_again(reason: str = "") -> tuple[Say, ...]:
    """Ask for a repetition."""
    return (_say(Speech.QUESTION, f"Say again: {reason}." if reason else "Say again."),)


def readability(score: float) -> Say:
    """The answer to "how do you read", on the scale of ICAO Annex 10 Vol II, 5.2.1.8.4.

    5 is perfectly readable, 4 readable; a worse hearing is asked for again before it gets here.
    """
    return _say(Speech.READ_BACK, f"Readability {5 if score >= 0.99 else 4}.")


def standing_by() -> tuple[Say, ...]:
    """Acknowledge "stand by"."""
    return (_say(Speech.READ_BACK, "Standing by. Say go ahead to go on."),)


def unable(number: int) -> tuple[Say, ...]:
    """Acknowledge "unable"."""
    return (
        _say(
            Speech.READ_BACK,
            f"Unable, on the record. Step {number} is not done. "
            "Tell your supervisor. Say go ahead to try it again.",
        ),
    )


def not_heard(times: int, number: int) -> tuple[Say, ...]:
    """Too many doubtful hearings."""
    return (
        _say(
            Speech.READ_BACK,
            f"I did not hear you well, {times} times. Step {number} waits. "
            "Come closer or wait for quiet, then say go ahead.",
        ),
    )


def going_on() -> Say:
    """Acknowledge "go ahead"."""
    return _say(Speech.READ_BACK, "Going on.")


def ending(task: Task) -> tuple[Say, ...]:
    """What is said when every step is done."""
    states = " ".join(f"{state.called.capitalize()} {state.end}." for state in task.states.values())
    return (
        _say(Speech.NOTICE, f"All {len(task.steps)} steps are confirmed. {states}".rstrip()),
        _say(Speech.NOTICE, RELEASE),
    )


def _answer(expected: Expectation | None) -> str:
    # An instruction to read a gauge or a number needs no second sentence that says so.
    if isinstance(expected, ConfirmExpected | ChoiceExpected):
        return f" {expected_answer(expected)}"
    return ""


def _ended(text: str) -> str:
    return text if text.endswith((".", "!", "?")) else f"{text}."


def _say(speech: Speech, text: str) -> Say:
    return Say(speech, speak_text(text))
