"""Sentences about work that stops, and that goes on, back or to somebody else."""

from collections.abc import Iterable, Mapping

from handsfree.engine.effects import Say, Speech
from handsfree.engine.findings import Finding
from handsfree.engine.state import State
from handsfree.engine.wording.findings import open_findings
from handsfree.engine.wording.saying import say
from handsfree.task.conditions import UNKNOWN
from handsfree.task.expectations import ReadingExpected
from handsfree.task.model import Task


def standing_by() -> tuple[Say, ...]:
    """Acknowledge "stand by"."""
    return (say(Speech.READ_BACK, "Standing by. Say why, then go ahead to go on."),)


def standing_by_to_take_back(last_done: int | None) -> tuple[Say, ...]:
    """Something was taken back when it may have been acted on already."""
    undo = (
        f" Step {last_done} was done last: if that is wrong, then say back to step {last_done}."
        if last_done
        else ""
    )
    return (say(Speech.READ_BACK, f"Standing by. Say go ahead to go on.{undo}"),)


def still_standing_by(heard: str) -> tuple[Say, ...]:
    """Something was said that is not acted on while the task waits."""
    return (say(Speech.QUESTION, f"I heard {heard}. Say go ahead first."),)


def are_you_there() -> tuple[Say, ...]:
    """Ask into a silence."""
    return (say(Speech.QUESTION, "Are you there?"),)


def standing_by_for_silence() -> tuple[Say, ...]:
    """Nobody answered."""
    return (say(Speech.READ_BACK, "I hear nobody. Standing by. Say go ahead to go on."),)


def hearing_lost(reason: str, number: int) -> tuple[Say, ...]:
    """Nothing could be heard for a while; what was to be done may have changed since."""
    lost = f"I could not hear: {reason}. Step {number} waits."
    return (say(Speech.READ_BACK, f"{lost} Say go ahead when you are ready."),)


def hearing_returned() -> tuple[Say, ...]:
    """The microphone is back."""
    return (say(Speech.READ_BACK, "I can hear again. Say go ahead to go on."),)


def voice_lost(reason: str, number: int) -> tuple[Say, ...]:
    """What was said last was not heard, or only as beeps; this may be no better."""
    lost = f"I was not heard: {reason}. Step {number} waits."
    return (say(Speech.READ_BACK, f"{lost} Read what is shown, then say go ahead."),)


def going_on() -> Say:
    """Acknowledge "go ahead"."""
    return say(Speech.READ_BACK, "Going on.")


def going_on_from_the_record() -> Say:
    """What is said first after the program had ended."""
    return say(Speech.NOTICE, "Going on from the record.")


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


def states_of(task: Task, states: Mapping[str, str]) -> list[str]:
    """Each state as a sentence."""
    return [f"{task.states[name].called.capitalize()} {value}." for name, value in states.items()]


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
