"""What may be said over the tool's own voice: to stop, to wait, or to take something back.

Nothing else is heeded. To wait is always safe. What the tool was saying then counts as not heard:
"go ahead" has the whole step said again, its warnings too. What takes something back may be about
what was acted on just before, for which the tool gives its answer already: so the work waits, and
whoever said it is told how to undo that.

The same holds for what was cut off: what began under the tool's voice and went on after it. Its
first words may be missing, so it is asked for again and never taken for a remark.
"""

from dataclasses import replace

from handsfree.engine import interrupting, wording
from handsfree.engine.effects import Write
from handsfree.engine.entries import NotActedOn
from handsfree.engine.phase import TAKE_BACK, Phase
from handsfree.engine.phrases_now import ANYWHERE
from handsfree.engine.replies import Advance, not_heeded, reply
from handsfree.engine.state import State
from handsfree.engine.trust import WAIT_AT, Trust, trust
from handsfree.task.model import Task
from handsfree.words.heard import Heard, Trouble
from handsfree.words.meanings import Negated, Parse, Spoke, TookBack, Understood, only_waits
from handsfree.words.phrases import PhraseSet
from handsfree.words.plain import PlainWord
from handsfree.words.standard import StandardWord

# More than is heeded: what cannot be heard is bent into what can.
LISTENED_FOR = PhraseSet(ANYWHERE)


def asks_to_wait(heard: Heard) -> bool:
    """Whether the tool is to fall silent and wait."""
    parsed = LISTENED_FOR.parse(heard.words)
    if only_waits(parsed):
        return trust(heard.score, parsed) is Trust.ACT
    # Nothing is taken back yet: the work waits, which costs one "go ahead".
    return _takes_back(parsed) and heard.score >= WAIT_AT


_TAKE_BACK = TAKE_BACK | {StandardWord.NEGATIVE}


def _takes_back(parsed: Parse) -> bool:
    match parsed:
        case Understood(TookBack()):
            return True
        case Understood(Spoke(word=word)):
            return word in _TAKE_BACK
        case Understood(Negated(phrase=phrase)):
            return not only_waits(LISTENED_FOR.parse(phrase.split()))  # such as "don't stop"
    return False


def is_cut_off(heard: Heard) -> bool:
    """Whether it began under the tool's own voice."""
    return heard.trouble is Trouble.CUT_OFF


def without_its_words(heard: Heard) -> Heard:
    """What was cut off, as something of which no word is believed."""
    return replace(heard, words=(), score=0.0, alternatives=(), opinions=())


def heard_over_the_tool(task: Task, state: State, heard: Heard) -> Advance:
    """Stand by at once, or note what was said."""
    if not asks_to_wait(heard) or state.phase is Phase.STANDING_BY:
        reason = NotActedOn.SPOKEN_OVER if state.speaking else NotActedOn.STANDING_BY
        entry = not_heeded(task, state, heard, reason)
        if state.speaking:
            return state, (Write(entry),)
        return reply(state, (entry,), wording.interruptions.standing_by())
    state = replace(state, speaking=False)
    if only_waits(LISTENED_FOR.parse(heard.words)):
        says = wording.interruptions.standing_by()
        return interrupting.stand_by(task, state, (), PlainWord.STOP.value, says)
    last = task.index_of[state.done[-1]] + 1 if state.done else None
    says = wording.interruptions.standing_by_to_take_back(last)
    why = f"{' '.join(heard.words)}, over the voice of the tool"
    return interrupting.stand_by(task, state, (), why, says)
