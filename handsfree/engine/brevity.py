"""How much the tool says. A warning or a caution is whole in every manner, and so is a read back.

What a step waits for is said where it cannot be known yet. Whoever wants all of it says "say
again", which is always in full, or "help".
"""

import re
from itertools import takewhile

from handsfree.engine import wording
from handsfree.engine.effects import Say
from handsfree.engine.manner import Manner
from handsfree.engine.state import State
from handsfree.task.expectations import ConfirmExpected, DateExpected, IdentityExpected
from handsfree.task.model import Task
from handsfree.task.step import Step


def step_as_said(task: Task, state: State) -> tuple[Say, ...]:
    """The step where the run has just arrived, as it is said the first time."""
    step, brisk = task.steps[state.step], state.given.manner is Manner.BRISK
    before = [task.steps[each.position.step] for each in state.past[:-1]]
    report = _is_first_of_its_kind(before, step) if brisk else not _is_repeated(before, step)
    thing = _one_more_tool(before, step)
    told = "" if thing is None or _is_named_alone(task, step) else thing
    order = "" if thing is None else wording.steps.one_more_tool(step.expect, told)
    return wording.steps.step_in_short(
        state.step + 1, step, numbered=not brisk, report=report, order=order
    )


def _one_more_tool(before: list[Step], step: Step) -> str | None:
    """The tool whose number or date is read, where just before another's was, in the same words.

    Then nothing is left out of the instruction but what was heard with the tool before.
    """
    if not isinstance(step.expect, _OF_A_TOOL) or step.expect.tool is None:
        return None
    for last in reversed(before):
        if not isinstance(last.expect, _OF_A_TOOL) or last.expect.tool is None:
            return None
        if type(last.expect) is type(step.expect):
            return _only_difference(last.instruction, step.instruction)
    return None


def _is_named_alone(task: Task, step: Step) -> bool:
    """Whether the name of the number that is read is that of one tool of the task alone."""
    if not isinstance(step.expect, IdentityExpected):
        return False
    name = step.expect.identity
    tools = {
        each.expect.tool
        for each in task.steps
        if isinstance(each.expect, IdentityExpected) and each.expect.identity == name
    }
    return len(tools) == 1


_OF_A_TOOL = IdentityExpected | DateExpected
# Of so many words and more nobody takes two instructions for the same one by chance.
_LEAST_IN_COMMON = 4
_LONGEST_THING = 3


def _only_difference(last: str, now: str) -> str | None:
    """`now` from where it differs from `last` on; None where it does so in more than one place."""
    old, new = last.rstrip(".").split(), now.rstrip(".").split()
    begin = _alike(old, new)
    end = _alike(old[begin:][::-1], new[begin:][::-1])
    things = old[begin : len(old) - end], new[begin : len(new) - end]
    is_one_thing = all(0 < len(each) <= _LONGEST_THING for each in things)
    return " ".join(new[begin:]) if is_one_thing and begin + end >= _LEAST_IN_COMMON else None


def _alike(one: list[str], other: list[str]) -> int:
    """How many words are the same at the beginning."""
    pairs = zip(one, other, strict=False)
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], pairs))


def _is_first_of_its_kind(before: list[Step], step: Step) -> bool:
    """In brisk it is said only the first time that a step waits for an answer of this kind."""
    return not any(isinstance(each.expect, type(step.expect)) for each in before)


def _is_repeated(before: list[Step], step: Step) -> bool:
    """In full it is left out where the step before was the same one for another thing.

    Then the phrase is known by that one. Any other phrase has to be said: whoever guesses it is
    asked again, which takes longer than to say it.
    """
    return bool(before) and _same_for_another(before[-1], step)


def _same_for_another(last: Step, step: Step) -> bool:
    """Whether both are copies of one repeated step, said in the same words but for the thing."""
    if not (last.each and last.each.keys() == step.each.keys()):
        return False
    pairs = [(last.each[name][0], step.each[name][0]) for name in step.each]
    now = dict(pairs)
    if any(now[was] != is_ for was, is_ in pairs):
        return False  # one word stood for two things: what became of it cannot be told
    # The longest first, and all at once: "left" is a part of "left upper", and may become "right"
    # while "right" becomes "left".
    things = re.compile("|".join(sorted(now, key=len, reverse=True)))

    def for_step(text: str) -> str:
        return things.sub(lambda found: now[found.group()], text)

    match last.expect, step.expect:
        case ConfirmExpected(confirm=one), ConfirmExpected(confirm=other):
            return for_step(last.instruction) == step.instruction and for_step(one) == other
    return False
