"""A value, or what else waits to be affirmed, is taken back.

Taking back puts nothing in the place, so little can go wrong by it; what stays where it should have
gone is one "affirm" away from the record. So it is heeded sooner than what moves the work on.
"""

import re

from handsfree.engine import (
    deferring,
    going_back,
    helping,
    identifying,
    interrupting,
    second,
    wording,
)
from handsfree.engine.effects import Write
from handsfree.engine.entries import NotActedOn, Withdrawn
from handsfree.engine.judging import needs_affirm
from handsfree.engine.phase import ACTED_ON
from handsfree.engine.replies import (
    Advance,
    ask,
    not_heeded,
    reply,
    step_id,
    step_of,
    without_value,
)
from handsfree.engine.state import State
from handsfree.engine.trust import DENIAL_AT
from handsfree.engine.waiting import (
    Answering,
    AwaitingSecond,
    CheckingState,
    Confirming,
    DeferralHeard,
    Deferring,
    GoingBack,
    Identifying,
    IdentityHeard,
    Outside,
    Referencing,
)
from handsfree.task.model import Task
from handsfree.task.roles import Role
from handsfree.words.heard import Heard
from handsfree.words.meanings import Parse, Spoke, TookBack, Understood
from handsfree.words.plain import SECOND
from handsfree.words.standard import StandardWord

# Each waits for a word that puts it on the record, or undoes steps.
_WAITING = Confirming | IdentityHeard | DeferralHeard | AwaitingSecond | GoingBack
_TAKE_BACK = frozenset({StandardWord.NEGATIVE, StandardWord.CORRECTION, StandardWord.DISREGARD})


def only_takes_back(state: State, parsed: Parse) -> bool:
    """Whether the words do nothing but take back what waits."""
    if not isinstance(state.waits_for, _WAITING):
        return False
    match parsed:
        case Understood(Spoke(word)):
            return word in _TAKE_BACK and word in ACTED_ON[state.phase]
        case Understood(TookBack()):
            return True
    return False


def correction_begun(task: Task, state: State, heard: Heard, reason: NotActedOn) -> Advance | None:
    """What follows where a value is corrected and the new one is not believed; else None.

    The old one is not right any more: it is withdrawn, and all of it is asked for anew.
    """
    match state.waits_for:
        case AwaitingSecond() if _is_of_the_second(heard):
            return None  # they correct their own, and the technician's is not theirs to correct
        case Confirming() | IdentityHeard() | DeferralHeard() | AwaitingSecond():
            if not _says_correction(heard):
                return None
        case _:
            return None
    entry = not_heeded(task, state, heard, reason)
    state, effects = taken_back(task, state.without_doubt())
    return state, (Write(entry), *effects)


def _is_of_the_second(heard: Heard) -> bool:
    return heard.channel == Role.SECOND_PERSON.channel or heard.words[:1] == (SECOND,)


def _says_correction(heard: Heard) -> bool:
    """By the least sign, but not by noise that was bent into it; or as a listener wrote it freely.

    What was only begun is bent into some whole phrase, and written freely as it was said.
    """
    word = StandardWord.CORRECTION.value
    if word in heard.words and heard.score >= DENIAL_AT:
        return True
    return any(word in _words_of(each.free_text) for each in heard.opinions)


def _words_of(text: str) -> list[str]:
    return re.findall(r"[a-z]+", text.lower())


def taken_back_in_everyday_words(task: Task, state: State, heard: Heard) -> Advance:
    """ "Sorry" and its like take away and put nothing in the place, so little can go wrong."""
    step = step_of(task, state)
    match state.waits_for:
        case AwaitingSecond() if heard.channel == Role.SECOND_PERSON.channel:
            return second.not_the_second(task, state, heard, NotActedOn.NOT_EXPECTED)
        case AwaitingSecond():
            return second.taken_back(task, state)
        case Confirming() | Outside():
            entries = (Withdrawn(step.id),)
            return ask(without_value(state), entries, wording.help.taken_back(step.expect))
        case IdentityHeard() | GoingBack():
            return taken_back(task, state)
        case Answering() if needs_affirm(step.expect):
            entry = not_heeded(task, state, heard, NotActedOn.NOT_EXPECTED)
            return reply(state, (entry,), wording.help.taken_back(step.expect))
    words = "something else" if step.read_back else " ".join(heard.words)
    return helping.of_no_use(task, state, heard, words)


def taken_back(task: Task, state: State) -> Advance:
    """What waits is not right, or is not to be: it is asked for anew, or left as it was."""
    match state.waits_for:
        case Deferring() as waits:
            return interrupting.go_ahead(task, state, waits)
        case Referencing() | DeferralHeard() as waits:
            return deferring.ask_who(state, waits)
        case Identifying() | IdentityHeard():
            return identifying.taken_back(task, state)
        case CheckingState(name=name):
            return interrupting.state_differs(task, state, name)
        case GoingBack(to=to):
            return going_back.stay(task, state, to)
        case AwaitingSecond():
            return second.taken_back(task, state)
    says = wording.replies.withdrawn(step_of(task, state).expect)
    return ask(without_value(state), (Withdrawn(step_id(task, state)),), says)
