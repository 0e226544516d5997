"""What is listened for, and what the value that is asked for is likely to be."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction

from handsfree.engine.effects import Listen
from handsfree.engine.phase import AT_A_STEP, Phase
from handsfree.engine.phrases_now import phrases_now
from handsfree.engine.state import State
from handsfree.task.expectations import IdentityExpected, ReadingExpected
from handsfree.task.limits.forms import NoLimits
from handsfree.task.model import Task
from handsfree.words.awaited import AnyWords, Awaited, Lengths, Scale
from handsfree.words.units import in_figures


def listening(task: Task, state: State, until: timedelta | None = None) -> Listen:
    """Listen for what is valid now, at most until the running time `until`."""
    phrases = replace(phrases_now(task, state), awaited=_awaited(task, state))
    return Listen(phrases, until)


def _awaited(task: Task, state: State) -> Awaited | None:
    """None: nothing is known of the value, or none is asked for."""
    if state.phase in (Phase.REMARKING, Phase.STANDING_BY):
        return AnyWords()
    if state.phase is Phase.IDENTIFYING:
        return _lengths(each.staff_number for each in state.crew.roster)
    if state.phase not in AT_A_STEP or state.step >= len(task.steps):
        return None
    match task.steps[state.step].expect:
        case ReadingExpected() as expected:
            return _scale(expected, state)
        case IdentityExpected() as expected:
            if expected.again:
                read_at = task.number_of.get(expected.tool or "", "")
                known = dict(state.progress.identified).get(read_at)
                return None if known is None else _lengths((known,))
            return _lengths(expected.accepted_characters)
    return None


def _scale(expected: ReadingExpected, state: State) -> Scale | None:
    try:
        bounds = expected.limits.bounds(dict(state.readings))
    except NoLimits:
        return None
    if bounds.highest is None:
        return None
    lowest = bounds.lowest if bounds.lowest is not None else min(Fraction(0), bounds.highest)
    return Scale.around(expected.resolution, in_figures(lowest), in_figures(bounds.highest))


def _lengths(numbers: Iterable[str]) -> Lengths | None:
    lengths = frozenset(map(len, numbers))
    return Lengths(lengths) if lengths else None
