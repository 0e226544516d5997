"""Sentences about who is here, and about values that two persons read."""

from handsfree.engine.effects import Say, Speech
from handsfree.engine.findings import Finding
from handsfree.engine.wording.saying import say
from handsfree.engine.wording.steps import expected_answer
from handsfree.task.expectations import Expectation, IdentityExpected, ReadingExpected
from handsfree.task.roles import Role
from handsfree.words.alphabet import speak_characters


def say_who(role: Role) -> tuple[Say, ...]:
    """Ask for the staff number of whoever has this role."""
    return (say(Speech.QUESTION, f"{role.value.capitalize()}, say your staff number."),)


def staff_number(characters: str, name: str, role: Role) -> tuple[Say, ...]:
    """Read back who it is."""
    return (
        say(
            Speech.READ_BACK,
            f"Staff number {speak_characters(characters)}. {name}, {role.value}.",
        ),
        say(Speech.QUESTION, "Affirm?"),
    )


def person_refused(characters: str, why: str, role: Role) -> tuple[Say, ...]:
    """Read back the number, and why this person may not have the role."""
    return (
        say(Speech.READ_BACK, f"Staff number {speak_characters(characters)}. {why}"),
        *say_who(role),
    )


def another_channel(role: Role) -> tuple[Say, ...]:
    """Somebody else answered than was asked."""
    return (
        say(Speech.QUESTION, f"This is for the {role.value}. {role.value.capitalize()}, speak."),
    )


def welcome(name: str, role: Role) -> Say:
    """Somebody was identified."""
    return say(Speech.READ_BACK, f"{name}, {role.value}.")


def second_wanted(expected: Expectation | None, *, by_headset: bool) -> tuple[Say, ...]:
    """Ask the second person. The first value is not said: it would invite to repeat it.

    Where headsets tell who speaks, nobody has to say it.
    """
    what = ""
    if isinstance(expected, ReadingExpected):
        what = f"read the {expected.reading}"
    elif isinstance(expected, IdentityExpected):
        what = f"read the {expected.identity}"
    who = "" if by_headset else " Say second first."
    return (say(Speech.QUESTION, f"Noted. Second person, {what} yourself.{who}"),)


def technician_first(expected: Expectation | None) -> tuple[Say, ...]:
    """The second person spoke before the technician."""
    return (say(Speech.QUESTION, f"The technician first. {expected_answer(expected)}"),)


def differ(expected: Expectation | None) -> tuple[Say, ...]:
    """Two persons read different values; neither is said, so that both are read anew."""
    return (
        say(
            Speech.QUESTION,
            f"The two differ. Both read again. Technician first. {expected_answer(expected)}",
        ),
    )


def differ_too_often(times: int, finding: Finding, step: int) -> tuple[Say, ...]:
    """They read different values again and again."""
    return (
        say(
            Speech.READ_BACK,
            f"The two differ, {times} times. Finding {finding.number} is open. Step {step} waits. "
            "Tell your supervisor. Say go ahead to try it again.",
        ),
    )
