"""The question that is open: what was heard of it so far, and what hangs on the answer."""

from handsfree.engine.doubt import Doubt
from handsfree.engine.phase import HIGH_STAKES
from handsfree.engine.replies import step_of
from handsfree.engine.state import State
from handsfree.engine.trust import Stakes
from handsfree.engine.waiting import (
    Answering,
    AwaitingSecond,
    Identifying,
    IdentityHeard,
    Inspecting,
    Outside,
)
from handsfree.task.model import Task
from handsfree.words.heard import Heard

_OF_ONE = (AwaitingSecond, Inspecting, Identifying, IdentityHeard)


def doubt_of(task: Task, state: State, heard: Heard) -> Doubt:
    """What was heard so far of the question that is open, and not believed.

    A value outside its limits is asked for by the same question as the first one. Where the word
    of one person alone counts, what comes by another headset is no hearing of theirs.
    """
    question = Answering() if isinstance(state.waits_for, Outside) else state.waits_for
    if isinstance(question, Answering):
        question = Answering()
    of_one = isinstance(question, _OF_ONE) or (
        isinstance(question, Answering) and step_of(task, state).by is not None
    )
    channel = heard.channel if of_one else None
    return state.exchange.doubt.about((state.step, question, channel))


def stakes(task: Task, state: State, words: tuple[str, ...]) -> Stakes:
    """What hangs on `words` at this moment."""
    return Stakes(
        critical=step_of(task, state).critical,
        confusable=" ".join(words) in state.given.confusable or state.phase in HIGH_STAKES,
    )
