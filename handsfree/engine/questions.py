"""Questions that people ask, answered from the step and the record. Nothing is changed by it.

What waits for a second person is not told, and nor is a number that is still to be read: either
would invite to repeat it. While a second person has still to state theirs, no value at all is told:
that of another step may be the same, and nobody knows whose "pressure" was meant.
"""

from decimal import Decimal

from handsfree.engine import wording
from handsfree.engine.phase import Phase
from handsfree.engine.replies import Advance, Says, reply, step_of
from handsfree.engine.state import State
from handsfree.task.expectations import DateExpected, IdentityExpected, ReadingExpected
from handsfree.task.limits.forms import NoLimits
from handsfree.task.model import Task
from handsfree.task.step import Step
from handsfree.words.alphabet import speak_characters
from handsfree.words.dates import speak_date
from handsfree.words.meanings import Asked
from handsfree.words.questions import Question
from handsfree.words.units import speak_unit


def answered(task: Task, state: State, asked: Asked) -> Advance:
    """Answer, then ask again: "affirm" must never follow anything but its value."""
    says = _answer(task, state, asked)
    if asked.question is Question.WHAT_NEXT:
        return reply(state, (), says)
    asks = state.value_said or wording.help.asked_again(step_of(task, state).expect, state)
    return reply(state, (), (*says, *asks))


def _answer(task: Task, state: State, asked: Asked) -> Says:
    step = step_of(task, state)
    if state.phase is Phase.SECOND and asked.question in _ANSWERED_BY_A_VALUE:
        return (wording.help.no_value_now(),)
    match asked.question:
        case Question.LIMIT:
            return _limits(state, step)
        case Question.WARNING:
            return wording.help.warnings(step.warning, step.caution)
        case Question.TOOL:
            return (wording.help.tools(_tools(task, step)),)
        case Question.PART_NUMBER:
            return _part_number(task, state, step)
        case Question.READING:
            return _read_as(task, state, step, asked.about)
        case Question.LAST_READING:
            return () if state.value_said else _last(task, state, step)
        case Question.STEPS_LEFT:
            number = min(state.step + 1, len(task.steps))
            return (wording.help.steps_left(number, len(task.steps)),)
        case Question.WHAT_NEXT:
            return state.exchange.said


_ANSWERED_BY_A_VALUE = frozenset({Question.PART_NUMBER, Question.READING, Question.LAST_READING})


def _limits(state: State, step: Step) -> Says:
    expected = step.expect
    if not isinstance(expected, ReadingExpected):
        return (wording.help.no_limits(),)
    try:
        bounds = expected.limits.bounds(dict(state.readings))
    except NoLimits as none:
        return (wording.help.no_limits(str(none)),)
    lowest = wording.help.as_shown(bounds.lowest_readable(expected.resolution), expected)
    highest = wording.help.as_shown(bounds.highest_readable(expected.resolution), expected)
    if not (lowest or highest):
        return (wording.help.no_limits(),)
    return (wording.help.limits(expected.reading, expected.unit, lowest, highest),)


def _tools(task: Task, step: Step) -> tuple[str, ...]:
    names = {each.id: each.name for each in task.equipment if each.id}
    names |= {name: each.called for name, each in task.counted.items()}
    uses = [*step.uses]
    match step.expect:
        case IdentityExpected(tool=str(tool)) | DateExpected(tool=str(tool)):
            uses.append(tool)
    return tuple(names[each] for each in uses if each in names)


def _part_number(task: Task, state: State, step: Step) -> Says:
    if isinstance(step.expect, IdentityExpected):
        return (wording.help.read_it_first(step.expect.identity),)
    known = _known(task, state, step)
    named = [
        each
        for each in known
        if isinstance(each[0].expect, IdentityExpected) and "part" in _name(each[0])
    ]
    return _told(task, *named[-1]) if named else (wording.help.not_read("part number"),)


def _read_as(task: Task, state: State, step: Step, name: str) -> Says:
    """What is called `name`: the limits where it is asked for now, else the last one affirmed."""
    if name in _names(step):
        if isinstance(step.expect, ReadingExpected):
            return _limits(state, step)
        return (wording.help.read_it_first(name),)
    known = [each for each in _known(task, state, step) if name in _names(each[0])]
    return _told(task, *known[-1]) if known else (wording.help.not_read(name),)


def _last(task: Task, state: State, step: Step) -> Says:
    readings = [
        each for each in _known(task, state, step) if isinstance(each[0].expect, ReadingExpected)
    ]
    return _told(task, *readings[-1]) if readings else (wording.help.not_read("reading"),)


def _known(task: Task, state: State, here: Step) -> list[tuple[Step, Decimal | str]]:
    """Each value on the record with its step, the latest last.

    That of the present step is left out: what was read before it is done anew is no help to read.
    """
    values: list[tuple[str, Decimal | str]] = [*state.progress.identified, *state.readings]
    return [(task.steps[task.index_of[step]], value) for step, value in values if step != here.id]


def _names(step: Step) -> tuple[str, ...]:
    match step.expect:
        case ReadingExpected() | IdentityExpected() | DateExpected():
            return step.expect.names
    return ()


def _name(step: Step) -> str:
    match step.expect:
        case ReadingExpected(reading=name) | IdentityExpected(identity=name):
            return name
        case DateExpected(date=name):
            return name
    return ""


def _told(task: Task, step: Step, value: Decimal | str) -> Says:
    match step.expect, value:
        case ReadingExpected() as expected, Decimal():
            said = f"{wording.help.as_shown(value, expected)} {speak_unit(expected.unit)}"
        case DateExpected(), str():
            said = speak_date(value)
        case _:
            said = speak_characters(str(value))
    return (wording.help.was_read(_name(step), said, task.index_of[step.id] + 1),)
