"""What may be said over the tool's own voice: to stop or to wait, and nothing else is heeded.

To wait is always safe. What the tool was saying then counts as not heard: "go ahead" has the whole
step said again, its warnings too.
"""

from dataclasses import replace

from handsfree.engine import interrupting, wording
from handsfree.engine.effects import Write
from handsfree.engine.entries import NotActedOn
from handsfree.engine.phase import Phase
from handsfree.engine.phrases_now import ANYWHERE
from handsfree.engine.replies import Advance, not_heeded
from handsfree.engine.state import State
from handsfree.engine.trust import Trust, trust
from handsfree.task.model import Task
from handsfree.words.heard import Heard
from handsfree.words.meanings import only_waits
from handsfree.words.phrases import PhraseSet
from handsfree.words.plain import PlainWord

# More than is heeded: what cannot be heard is bent into what can.
LISTENED_FOR = PhraseSet(ANYWHERE)


def asks_to_wait(heard: Heard) -> bool:
    """Whether the tool is to fall silent and wait."""
    parsed = LISTENED_FOR.parse(heard.words)
    return only_waits(parsed) and trust(heard.score, parsed) is Trust.ACT


def heard_over_the_tool(task: Task, state: State, heard: Heard) -> Advance:
    """Stand by at once, or note what was said."""
    if asks_to_wait(heard) and state.phase is not Phase.STANDING_BY:
        says = wording.interruptions.standing_by()
        state = replace(state, speaking=False)
        return interrupting.stand_by(task, state, (), PlainWord.STOP.value, says)
    return state, (Write(not_heeded(task, state, heard, NotActedOn.SPOKEN_OVER)),)
