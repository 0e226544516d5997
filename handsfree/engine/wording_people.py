"""Sentences about people, interruptions, findings and inspections. See `wording` for the rest."""

from collections.abc import Iterable, Mapping
from datetime import timedelta
from decimal import Decimal

from handsfree.engine.crew import Crew
from handsfree.engine.effects import Say, Speech
from handsfree.engine.findings import Category, Finding
from handsfree.engine.phase import Phase
from handsfree.engine.saying import say, spoken_time
from handsfree.engine.state import State
from handsfree.engine.waiting import (
    Categorising,
    Identifying,
    Inspecting,
    Referencing,
    Uninspected,
)
from handsfree.engine.wording import expected_answer
from handsfree.task.conditions import UNKNOWN
from handsfree.task.expectations import Expectation, IdentityExpected, ReadingExpected
from handsfree.task.model import Task
from handsfree.task.roles import Role
from handsfree.words.alphabet import speak_characters
from handsfree.words.numerals import speak_number
from handsfree.words.units import speak_unit

_MINUTE = timedelta(minutes=1)


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


def what_was_done(number: int) -> tuple[Say, ...]:
    """Ask whoever closes a finding what was done about it."""
    return (say(Speech.QUESTION, f"Finding {number}. Say what was done."),)


def say_category() -> tuple[Say, ...]:
    """Ask what stands in the way."""
    names = [each.value for each in Category]
    return (say(Speech.QUESTION, f"Noted. Is it {', '.join(names[:-1])}, or {names[-1]}?"),)


def rework() -> Say:
    """A rejected step is done again."""
    return say(Speech.READ_BACK, "Rejected, and noted.")


def states_of(task: Task, states: Mapping[str, str]) -> list[str]:
    """Each state as a sentence."""
    return [f"{task.states[name].called.capitalize()} {value}." for name, value in states.items()]


def check_state(task: Task, name: str, value: str) -> tuple[Say, ...]:
    """Ask whether a state is as it was recorded."""
    return (say(Speech.QUESTION, f"Look: {task.states[name].called} {value}. Affirm or negative?"),)


def state_differs(
    task: Task, name: str, finding: Finding, undoes: Iterable[int]
) -> tuple[Say, ...]:
    """A state is not as it was recorded."""
    steps = " and ".join(f"step {each}" for each in undoes)
    undone = f"This undoes {steps}. " if steps else ""
    return (
        say(
            Speech.READ_BACK,
            f"Then {task.states[name].called} is not as recorded. Finding {finding.number} is "
            f"open. {undone}Put it as it was and say go ahead.",
        ),
    )


def last_done(task: Task, steps: tuple[str, ...]) -> tuple[Say, ...]:
    """The last completed steps, in their order."""
    return tuple(
        say(Speech.NOTICE, f"Done: step {number + 1}. {task.steps[number].instruction}")
        for number in (task.index_of[each] for each in steps)
    )


def times_void(numbers: Iterable[int]) -> tuple[Say, ...]:
    """Running times that nobody measured to their end."""
    steps = " and ".join(f"step {each}" for each in numbers)
    return (
        say(Speech.NOTICE, f"The time since {steps} is void. What had to be in time is too late."),
    )


def handing_over(task: Task, state: State) -> tuple[Say, ...]:
    """The outgoing person hears where they leave the task."""
    return (*summary(task, state), say(Speech.NOTICE, "Handed over. The next one, say go ahead."))


def summary(task: Task, state: State) -> tuple[Say, ...]:
    """Done, not done, open findings, and every state."""
    left = [
        f"Step {task.index_of[step] + 1} is not done, {how}."
        for step, how in state.progress.left_undone
    ]
    steps = len(task.steps)
    is_past = state.step == steps  # where the last step was deferred and states are in doubt
    ahead = "No step is left." if is_past else f"Step {state.step + 1} of {steps} is next."
    counts = [f"{task.counted[name].called.capitalize()} out: {out}." for name, out in state.counts]
    return (
        say(Speech.NOTICE, " ".join((f"Steps done: {len(state.done)}.", ahead, *left))),
        *open_findings(task, state.findings.open),
        say(Speech.NOTICE, " ".join((*states_of(task, dict(state.states)), *counts)))
        if state.states or state.counts
        else say(Speech.NOTICE, "No states."),
    )


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


def cannot_go_back(number: int, is_here: bool) -> tuple[Say, ...]:
    """That step is not behind us."""
    why = f"This is step {number}." if is_here else f"Step {number} was not begun on this way."
    return (say(Speech.READ_BACK, why),)


def go_back(
    task: Task, number: int, undone: int, changes: tuple[tuple[str, str], ...]
) -> tuple[Say, ...]:
    """What going back undoes, in the order in which it is to be put back by hand."""
    put_back = [
        f"{task.states[name].called} {'counts as unknown' if value == UNKNOWN else value}"
        for name, value in changes
    ]
    in_order = ", in this order" * (len(put_back) > 1)
    order = f"Put back{in_order}: {', then '.join(put_back)}. " if put_back else ""
    return (
        say(Speech.WARNING, f"Back to step {number} undoes {undone} step{'s' * (undone != 1)}."),
        say(Speech.QUESTION, f"{order}Affirm when that is done, or negative?"),
    )


def proved_anew(task: Task, undone: tuple[str, ...]) -> tuple[Say, ...]:
    """What was measured or inspected since, whose proof is gone with the step."""
    steps = [task.steps[at] for at in sorted(task.index_of[each] for each in undone)]
    measured = [
        f"{step.expect.reading} at step {task.index_of[step.id] + 1}"
        for step in steps
        if isinstance(step.expect, ReadingExpected)
    ]
    inspected = [f"step {task.index_of[step.id] + 1}" for step in steps if step.inspection]
    says = []
    if measured:
        says.append(say(Speech.NOTICE, f"To be read anew: {_listed(measured, 'values')}."))
    if inspected:
        says.append(say(Speech.NOTICE, f"To be inspected anew: {_listed(inspected, 'steps')}."))
    return tuple(says)


def _listed(names: list[str], many: str) -> str:
    """A few by name; a long list would not be kept in mind."""
    return " and ".join(names) if len(names) <= _MOST_LISTED else f"{len(names)} {many}"


_MOST_LISTED = 4


def counted_back(task: Task, counts: tuple[tuple[str, int], ...]) -> tuple[Say, ...]:
    """What must be out again, where going back changes it."""
    return tuple(
        say(Speech.NOTICE, f"{task.counted[name].called.capitalize()} out again: {out}.")
        for name, out in counts
    )


def stays() -> Say:
    """Nothing is undone."""
    return say(Speech.READ_BACK, "Nothing is undone.")


def are_you_there() -> tuple[Say, ...]:
    """Ask into a silence."""
    return (say(Speech.QUESTION, "Are you there?"),)


def standing_by_for_silence() -> tuple[Say, ...]:
    """Nobody answered."""
    return (say(Speech.READ_BACK, "I hear nobody. Standing by. Say go ahead to go on."),)


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
    return (say(Speech.READ_BACK, f"{', '.join(parts)}."),)


_WAITS_FOR = {
    Phase.CONFIRMING: "waiting for affirm",
    Phase.OUTSIDE: "outside limits",
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
            return f"Say {', '.join(each.value for each in Category)}."
    return "Say affirm, or negative."
