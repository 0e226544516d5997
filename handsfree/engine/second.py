"""Read back by a second person: two statements of one value, neither an echo of the other.

The first value, its verdict included, is not said aloud by the tool before the second person has
stated theirs. What a person overhears from another one, no tool can keep from them.

Who speaks is told by the channel of the headset. Without channels the second person says "second"
first; one voice that says both is not noticed, for the tool does not know voices.
"""

from dataclasses import replace
from fractions import Fraction

from handsfree.engine import wording
from handsfree.engine.entries import (
    FindingOpened,
    FirstStated,
    IdentityRead,
    NotActedOn,
    ReadingTaken,
    Replaced,
    SecondStated,
    StatementsDiffer,
    StoodBy,
    Withdrawn,
)
from handsfree.engine.findings import Category
from handsfree.engine.judging import Outcome, judge
from handsfree.engine.on_file import on_file
from handsfree.engine.phase import Phase
from handsfree.engine.remarks import open_finding
from handsfree.engine.replies import (
    Advance,
    Entries,
    ask,
    not_heeded,
    reply,
    step_id,
    step_of,
    without_value,
)
from handsfree.engine.state import State
from handsfree.engine.waiting import AwaitingSecond, StandingBy
from handsfree.task.expectations import Expectation, IdentityExpected, ReadingExpected
from handsfree.task.model import Task
from handsfree.task.roles import Role
from handsfree.task.step import Step
from handsfree.words.heard import Heard
from handsfree.words.meanings import BySecond, Identified, Meaning, Stated

MOST_DIFFERENCES = 3


def is_second_person(heard: Heard, meaning: Meaning) -> bool:
    """Whether this is a statement of the second person."""
    if heard.channel is not None:
        return heard.channel == Role.SECOND_PERSON.channel
    return isinstance(meaning, BySecond)


def technician_first(task: Task, state: State, heard: Heard) -> Advance:
    """The second person spoke first, which would make the technician's value the echo."""
    entry = not_heeded(task, state, heard, NotActedOn.ANOTHER_PERSON)
    return reply(state, (entry,), wording.people.technician_first(step_of(task, state).expect))


def first_stated(task: Task, state: State, heard: Heard, said: Stated | Identified) -> Advance:
    """Keep the technician's value to oneself, and ask the second person."""
    step = step_of(task, state)
    by = state.crew.number_of(Role.TECHNICIAN)
    figures, unit = _as_said(said)
    stated = FirstStated(step.id, _what(step), figures, unit, by)
    state = replace(state, waits_for=AwaitingSecond(said))
    says = wording.people.second_wanted(step.expect, by_headset=heard.channel is not None)
    return ask(state, (*_replaced(step.id, said), stated), says)


def not_the_second(task: Task, state: State, heard: Heard, reason: NotActedOn) -> Advance:
    """No statement of the second person. It is not repeated: it may be the first value."""
    entry = not_heeded(task, state, heard, reason)
    expected, by_headset = step_of(task, state).expect, heard.channel is not None
    return reply(state, (entry,), wording.people.second_wanted(expected, by_headset=by_headset))


def second_stated(
    task: Task, state: State, first: Stated | Identified, said: Stated | Identified
) -> Advance | tuple[Outcome, State]:
    """Hold the second value against the first.

    Where they agree, what follows from the first, as of any value, and the state to go on with.
    """
    step = step_of(task, state)
    readings, known = dict(state.readings), on_file(task, state)
    ours = judge(step, readings, first, Phase.ANSWERING, known)
    theirs = judge(step, readings, said, Phase.ANSWERING, known)
    if ours is None or theirs is None:
        raise AssertionError("a value that the step does not expect was taken for a statement")
    state = replace(state, crew=state.crew.with_part_of(step.id, Role.SECOND_PERSON))
    if _taken(theirs) is None:
        return reply(state, theirs.entries, theirs.says)
    figures, unit = _as_said(said)
    by = state.crew.number_of(Role.SECOND_PERSON)
    stated: Entries = (
        *_replaced(step.id, said),
        SecondStated(step.id, _what(step), figures, unit, by),
    )
    if not _agree(step.expect, _taken(ours), _taken(theirs)):
        return _differ(task, state, stated, _as_said(first)[0], figures)
    judged = theirs if _margin(_taken(theirs)) < _margin(_taken(ours)) else ours
    # What either of them replaced was written down when it was said.
    entries = (each for each in judged.entries if not isinstance(each, Replaced))
    outcome = replace(judged, entries=(*stated, *entries))
    return outcome, _differed(without_value(state), 0)


def _differed(state: State, times: int) -> State:
    return replace(state, this_step=replace(state.this_step, differed=times))


def _differ(task: Task, state: State, stated: Entries, first: str, second: str) -> Advance:
    step, times = step_of(task, state), state.this_step.differed + 1
    entries: Entries = (*stated, StatementsDiffer(step.id, first, second, times))
    state = _differed(without_value(state), times)
    if times < MOST_DIFFERENCES:
        return ask(state, entries, wording.people.differ(step.expect))
    why = f"two persons read different values, {times} times"
    state, finding = open_finding(task, _differed(state, 0), Category.DATA, why)
    entries = (*entries, FindingOpened(finding), StoodBy(step.id, why))
    state = replace(state.without_doubt(), waits_for=StandingBy(state.now))
    return ask(state, entries, wording.people.differ_too_often(times, finding, state.step + 1))


def taken_back(task: Task, state: State) -> Advance:
    """The technician takes the first value back, before the second person has spoken."""
    says = wording.replies.withdrawn(step_of(task, state).expect)
    return ask(without_value(state), (Withdrawn(step_id(task, state)),), says)


def is_taken(outcome: Outcome) -> bool:
    """Whether the step can take the value at all, inside its limits or not."""
    return _taken(outcome) is not None


def _taken(outcome: Outcome) -> ReadingTaken | IdentityRead | None:
    kinds = ReadingTaken | IdentityRead
    return next((each for each in outcome.entries if isinstance(each, kinds)), None)


def _agree(
    expected: Expectation | None,
    first: ReadingTaken | IdentityRead | None,
    second: ReadingTaken | IdentityRead | None,
) -> bool:
    match first, second:
        case ReadingTaken(), ReadingTaken():
            # Two people who look at one gauge say the same value. One step of the scale apart is
            # not the same sight, unless the task says that this gauge cannot be read so finely.
            slack = expected.agree_within if isinstance(expected, ReadingExpected) else None
            return abs(first.value - second.value) <= (slack or 0)
        case IdentityRead(), IdentityRead():
            return first.characters == second.characters
    return False


def _margin(taken: ReadingTaken | IdentityRead | None) -> Fraction:
    """How far a value is inside the nearer limit, in its unit; below zero where it is outside.

    Of two values that agree within the slack of the gauge, the one with less of it is judged.
    """
    if not isinstance(taken, ReadingTaken):
        return Fraction(0)
    value = Fraction(taken.value)
    margins = [Fraction(taken.highest) - value] if taken.highest is not None else []
    margins += [value - Fraction(taken.lowest)] if taken.lowest is not None else []
    return min(margins)


def _what(step: Step) -> str:
    match step.expect:
        case ReadingExpected(reading=quantity):
            return quantity
        case IdentityExpected(identity=identity):
            return identity
    raise AssertionError(f"step {step.id} expects no value that could be read back")


def _as_said(said: Stated | Identified) -> tuple[str, str | None]:
    return (said.figures, said.unit) if isinstance(said, Stated) else (said.characters, None)


def _replaced(step: str, said: Stated | Identified) -> Entries:
    if isinstance(said, Stated):
        return tuple(Replaced(step, each.figures, each.unit) for each in said.replaces)
    return tuple(Replaced(step, each) for each in said.replaces)
