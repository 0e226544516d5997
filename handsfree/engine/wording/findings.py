"""Sentences about remarks, findings and inspections."""

from decimal import Decimal

from handsfree.engine.crew import Crew
from handsfree.engine.effects import Say, Speech
from handsfree.engine.findings import Category, Finding
from handsfree.engine.state import State
from handsfree.engine.waiting import Uninspected
from handsfree.engine.wording.saying import say
from handsfree.task.expectations import IdentityExpected, ReadingExpected
from handsfree.task.model import Task
from handsfree.words.alphabet import speak_characters
from handsfree.words.spoken_numbers import speak_number
from handsfree.words.units import speak_unit


def look_at(task: Task, state: State, work: Uninspected) -> tuple[Say, ...]:
    """Tell the inspector what to look at, and the value."""
    step = task.steps[state.step]
    match step.expect, work.value:
        case ReadingExpected(unit=unit), Decimal() as reading:
            value = f"Read: {speak_number(reading)} {speak_unit(unit)}."
        case IdentityExpected(identity=identity), str(characters):
            value = f"{identity.capitalize()} {speak_characters(characters)}."
        case _:
            value = f"Reported: {' '.join(work.heard.words)}."
    warnings = (say(Speech.WARNING, f"Warning. {text}") for text in step.warning)
    return (
        *warnings,
        say(
            Speech.INSTRUCTION,
            f"Inspection of step {state.step + 1}. The work was: {step.instruction} {value}",
        ),
        say(Speech.QUESTION, "Say inspected, or rejected."),
    )


def inspected(number: int) -> Say:
    """The inspector passed the step."""
    return say(Speech.READ_BACK, f"Step {number} inspected.")


def say_why(number: int, what: str) -> tuple[Say, ...]:
    """Ask for a remark."""
    return (say(Speech.QUESTION, f"{what}. Step {number} is not done. Say why."),)


def no_words(wanted: str) -> tuple[Say, ...]:
    """A remark in which nothing was heard."""
    return (say(Speech.QUESTION, f"I heard nothing. {wanted}"),)


def began_too_early(wanted: str) -> tuple[Say, ...]:
    """A remark whose first words may be missing."""
    return (say(Speech.QUESTION, f"You began while I spoke. {wanted}"),)


def what_was_done(number: int) -> tuple[Say, ...]:
    """Ask whoever closes a finding what was done about it."""
    return (say(Speech.QUESTION, f"Finding {number}. Say what was done."),)


def say_category() -> tuple[Say, ...]:
    """Ask what stands in the way."""
    names = [each.said for each in Category]
    return (say(Speech.QUESTION, f"Noted. Is it {', '.join(names[:-1])}, or {names[-1]}?"),)


def rework() -> Say:
    """A rejected step is done again."""
    return say(Speech.READ_BACK, "Rejected, and noted.")


def open_findings(task: Task, findings: tuple[Finding, ...]) -> tuple[Say, ...]:
    """Each finding that nobody has closed."""
    return tuple(
        say(
            Speech.NOTICE,
            f"Finding {each.number} is open: {each.category.value}, "
            f"at step {task.index_of[each.step] + 1}.",
        )
        for each in findings
    )


def finding_to_close(task: Task, finding: Finding) -> Say:
    """Which finding is meant, before anybody affirms: its number was heard only once."""
    step = task.index_of[finding.step] + 1
    text = f"To be closed: finding {finding.number}, {finding.category.value}, at step {step}."
    return say(Speech.READ_BACK, text)


def finding_closed(number: int, name: str) -> Say:
    """A second person closed a finding."""
    return say(Speech.READ_BACK, f"Finding {number} is closed by {name}.")


def cannot_close(number: int, crew: Crew) -> tuple[Say, ...]:
    """There is no such finding, or nobody who could be identified."""
    why = (
        f"Finding {number} is not open."
        if crew.roster
        else "Without a roster nobody can close a finding."
    )
    return (say(Speech.READ_BACK, why),)
