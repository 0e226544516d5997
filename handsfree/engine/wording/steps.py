"""Sentences that lead through the steps of a task."""

from collections.abc import Mapping
from datetime import timedelta
from textwrap import shorten

from handsfree.engine.effects import Say, Speech
from handsfree.engine.wording.saying import say, spoken_time, with_full_stop
from handsfree.task.course import DEFERRED
from handsfree.task.expectations import (
    ChoiceExpected,
    ConfirmExpected,
    DateExpected,
    Expectation,
    IdentityExpected,
    ReadingExpected,
)
from handsfree.task.model import Task
from handsfree.task.step import Step
from handsfree.words.alphabet import speak_characters
from handsfree.words.units import speak_unit

RELEASE = "This tool certifies nothing. Release to service is for licensed certifying staff."


_LONGEST_NAME = 60  # characters: more is no name, and all of it is on the record


def opening(task: Task, variants: Mapping[str, str]) -> tuple[Say, ...]:
    """What is said before the first step."""
    data = task.approved_data
    this_run = ", ".join(f"{name.replace('-', ' ')} {value}" for name, value in variants.items())
    return (
        *(say(Speech.NOTICE, text) for text in task.notice),
        say(Speech.NOTICE, f"{with_full_stop(task.title)} Task revision {task.revision}."),
        say(
            Speech.NOTICE,
            f"It follows {data.reference}, revision {data.revision}, which outranks it.",
        ),
        *((say(Speech.NOTICE, f"This run is for {this_run}."),) if variants else ()),
        *(say(Speech.WARNING, f"Warning. {text}") for text in task.warning),
    )


def step(number: int, step: Step) -> tuple[Say, ...]:
    """Warnings and cautions, then the instruction, then what to answer."""
    notes = (say(Speech.NOTE, f"Note. {text}") for text in step.note)
    order = f"Step {number}. {with_full_stop(step.instruction)}{_answer(step.expect)}"
    return (*_alerts(step), *notes, say(Speech.INSTRUCTION, order))


def one_more_tool(expected: Expectation | None, thing: str) -> str:
    """What is read of one more tool, in place of the instruction; `thing`: of which one.

    It is empty where the name of what is read tells that already.
    """
    match expected:
        case IdentityExpected(identity=name) | DateExpected(date=name):
            return f"{name.capitalize()}, {thing}." if thing else f"{name.capitalize()}."
    return ""


def step_in_short(
    number: int, step: Step, *, numbered: bool, report: bool, order: str = ""
) -> tuple[Say, ...]:
    """The step with every warning and caution, and less of what is known.

    An `order` takes the place of the instruction.
    """
    notes = (say(Speech.NOTE, f"Note. {text}") for text in step.note if numbered)
    order = order or with_full_stop(step.instruction)
    answer = _answer(step.expect) if report or _has_more_to_know(step.expect) else ""
    place = f"Step {number}. " if numbered else ""
    return (*_alerts(step), *notes, say(Speech.INSTRUCTION, f"{place}{order}{answer}"))


def _alerts(step: Step) -> tuple[Say, ...]:
    return (
        *(say(Speech.WARNING, f"Warning. {text}") for text in step.warning),
        *(say(Speech.CAUTION, f"Caution. {text}") for text in step.caution),
    )


def expected_answer(expected: Expectation | None) -> str:
    """What the step waits for, as an order."""
    match expected:
        case ConfirmExpected():
            return f"Report {expected.confirm}."
        case ReadingExpected():
            scales = (expected.unit, *(scale.unit for scale in expected.other_scales))
            units = " or ".join(speak_unit(unit) for unit in scales)
            twice = ", words twice, with the unit each time" if expected.words_twice else ""
            return f"Report {expected.reading} in {units}{twice}."
        case IdentityExpected():
            return f"Read out the {expected.identity}."
        case DateExpected():
            return f"Read out the {expected.date}: day, month by name, year."
        case ChoiceExpected():
            return f"Report {' or '.join(expected.choose)}."
    return ""


def _answer(expected: Expectation | None) -> str:
    # An instruction to read a gauge or a number needs no second sentence that says so, unless there
    # is more to know than the instruction tells.
    if _has_more_to_know(expected) or isinstance(expected, ConfirmExpected | ChoiceExpected):
        return f" {expected_answer(expected)}"
    return ""


def _has_more_to_know(expected: Expectation | None) -> bool:
    """Whether a value must be said in a way of its own, which nobody knows from the instruction."""
    return isinstance(expected, ReadingExpected) and bool(
        expected.words_twice or expected.other_scales
    )


def confirmed(phrase: str) -> Say:
    """The confirmation as it was heard."""
    return say(Speech.READ_BACK, with_full_stop(phrase.capitalize()))


def phrase_read_back(phrase: str) -> tuple[Say, ...]:
    """The phrase as it was heard, to be affirmed."""
    return (confirmed(phrase), say(Speech.QUESTION, "Affirm?"))


def leads_on(number: int | None) -> Say:
    """A value outside its limits that the task has a way for; it must have been heard right."""
    leads = "ends the task" if number is None else f"leads to step {number}"
    return say(Speech.QUESTION, f"This {leads}. Affirm?")


def too_early(remaining: timedelta) -> tuple[Say, ...]:
    """The step was answered before its time."""
    return (say(Speech.QUESTION, f"Too early. Wait {spoken_time(remaining)} more, then report."),)


def window(opens_in: timedelta | None, closes_in: timedelta | None) -> tuple[Say, ...]:
    """How long there is to wait, and how long there is time."""
    parts = []
    if opens_in is not None and opens_in > timedelta(0):
        parts.append(f"Wait {spoken_time(opens_in)} before you report.")
    if closes_in is not None:
        parts.append(
            f"Report within {spoken_time(closes_in)}."
            if closes_in > timedelta(0)
            else "The time for this is over."
        )
    return (say(Speech.NOTICE, " ".join(parts)),) if parts else ()


def wait_is_over(expected: Expectation | None) -> tuple[Say, ...]:
    """What was waited for has lasted long enough."""
    return (say(Speech.QUESTION, f"The wait is over. {expected_answer(expected)}"),)


def time_is_over() -> tuple[Say, ...]:
    """The longest time in which the step could be answered has passed."""
    return (say(Speech.NOTICE, "The time for this is over. What you report now is too late."),)


def late(number: int) -> Say:
    """The step was answered after its time."""
    return say(Speech.READ_BACK, f"Too late. The time for step {number} is over.")


def wrong_choice(choice: str, expected: ChoiceExpected) -> tuple[Say, ...]:
    """A choice that does not let the step go on."""
    return (
        say(Speech.READ_BACK, f"{choice.capitalize()}. The task needs {expected.required}."),
        say(Speech.QUESTION, "Put it right and report, or say unable."),
    )


def unable(number: int, finding: int) -> tuple[Say, ...]:
    """Why a step is not done has been said."""
    return (
        say(
            Speech.READ_BACK,
            f"Finding {finding} is open. Step {number} is not done. "
            "Tell your supervisor. Say go ahead to try it again.",
        ),
    )


def may_defer(number: int, finding: int, authority: str) -> tuple[Say, ...]:
    """Why a step is not done has been said, and the task lets somebody defer it."""
    return (
        say(
            Speech.QUESTION,
            f"Finding {finding} is open. Step {number} can be deferred by {authority}. "
            "Say affirm when it is deferred, or go ahead to try it again.",
        ),
    )


def who_deferred() -> tuple[Say, ...]:
    """Ask for a name, which may be any words."""
    return (say(Speech.QUESTION, "Say the name of who has deferred it."),)


def deferral_reference() -> tuple[Say, ...]:
    """Ask for the reference, which is spelled."""
    return (say(Speech.QUESTION, "Noted. Say the reference, letter by letter."),)


def deferral_read_back(authority: str, name: str, reference: str) -> tuple[Say, ...]:
    """Read back who has deferred the step. A name that nobody could write down is in its clip."""
    who = shorten(name, _LONGEST_NAME, placeholder="") or "a name that is kept in its sound"
    spelled = speak_characters(reference)
    return (
        say(Speech.READ_BACK, f"Deferred by {authority}: {who}. Reference {spelled}."),
        say(Speech.QUESTION, "Affirm?"),
    )


def deferred(number: int) -> Say:
    """The step stays undone."""
    return say(Speech.READ_BACK, f"Step {number} is deferred. A finding is open.")


def ending(
    task: Task,
    states: Mapping[str, str],
    counts: Mapping[str, int],
    findings: Mapping[str, str],
) -> tuple[Say, ...]:
    """What is said when the last step is done."""
    straight = not any(each.applies or each.then or each.deferral for each in task.steps)
    steps = f"All {len(task.steps)} steps are" if straight else "Every step on this way is"
    but = ", but for what follows" if findings else ""
    ended = [f"{task.states[name].called.capitalize()} {value}." for name, value in states.items()]
    ended += [
        f"{task.counted[name].called.capitalize()} out: {out}." for name, out in counts.items()
    ]
    still_open = (
        say(
            Speech.NOTICE,
            f"Step {task.index_of[step] + 1} is not done, {outcome}"
            f"{'. Its finding is open' if outcome == DEFERRED else ''}: "
            f"{with_full_stop(task.steps[task.index_of[step]].instruction)}",
        )
        for step, outcome in findings.items()
    )
    return (
        say(Speech.NOTICE, " ".join((f"{steps} confirmed{but}.", *ended))),
        *still_open,
        say(Speech.NOTICE, RELEASE),
    )
