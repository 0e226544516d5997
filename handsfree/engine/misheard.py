"""Who spoke, and what their "affirm", "negative" and "correction" tell of how they are heard."""

from dataclasses import replace

from handsfree.engine import wording
from handsfree.engine.effects import Effect, Write
from handsfree.engine.entries import BadlyHeard
from handsfree.engine.phrases_now import phrases_now
from handsfree.engine.replies import Advance
from handsfree.engine.state import State
from handsfree.engine.voices import Voice
from handsfree.engine.waiting import (
    AwaitingSecond,
    Confirming,
    Identifying,
    IdentityHeard,
    Inspecting,
)
from handsfree.task.model import Task
from handsfree.task.roles import Role, role_of
from handsfree.words.heard import Heard
from handsfree.words.meanings import Dated, Identified, Meaning, Spoke, Stated, TookBack, Understood
from handsfree.words.standard import StandardWord

_TAKEN_BACK = frozenset({StandardWord.NEGATIVE, StandardWord.CORRECTION})


def voice_of(state: State, heard: Heard) -> Voice:
    """How whoever speaks has been heard in this run."""
    return state.exchange.voices.voice(speaker(state, heard))


def speaker(state: State, heard: Heard) -> str:
    """Who spoke: the staff number of whoever has the role, or the role while nobody is known."""
    match state.waits_for:
        case Identifying(role=role) | IdentityHeard(asked=Identifying(role=role)):
            return role.value  # whoever says who they are is not yet whoever had the role before
    role = _role(state, heard)
    return state.crew.number_of(role) or role.value


def _role(state: State, heard: Heard) -> Role:
    wears = role_of(heard.channel)
    if wears is not None:
        return wears
    match state.waits_for:
        case AwaitingSecond():
            return Role.SECOND_PERSON
        case Inspecting():
            return Role.INSPECTOR
    return Role.TECHNICIAN


def counted(task: Task, before: State, heard: Heard, led_to: Advance) -> Advance:
    """`led_to`, with what `heard` has told of an earlier hearing counted and put on the record.

    Whoever is misheard too often is told once what helps.
    """
    after, effects = led_to
    if before.speaking or after.waits_for == before.waits_for:
        return led_to
    after, effects = _judged(task, before, heard, after, effects)
    exchange = after.exchange
    for role, number in set(after.crew.present) - set(before.crew.present):
        exchange = replace(exchange, voices=exchange.voices.identified(role.value, number))
    if isinstance(after.waits_for, Confirming | IdentityHeard):
        exchange = replace(exchange, stated_by=None if heard.typed else speaker(before, heard))
    return replace(after, exchange=exchange), effects


def _judged(
    task: Task, before: State, heard: Heard, after: State, effects: tuple[Effect, ...]
) -> Advance:
    person = before.exchange.stated_by
    if person is None or not isinstance(before.waits_for, Confirming | IdentityHeard):
        return after, effects
    parsed = phrases_now(task, before).parse(heard.words)
    right = _was_right(parsed.meaning) if isinstance(parsed, Understood) else None
    if right is None:
        return after, effects
    voices = after.exchange.voices
    voice = voices.voice(person).counted(right)
    tells = voice.is_badly_heard and not voice.told
    voices = voices.with_voice(person, replace(voice, told=voice.told or tells))
    after = replace(after, exchange=replace(after.exchange, voices=voices))
    if not tells:
        return after, effects
    writes = [each for each in effects if isinstance(each, Write)]
    others = [each for each in effects if not isinstance(each, Write)]
    entry = BadlyHeard(person, voice.wrong, voice.right + voice.wrong)
    return after, (*writes, Write(entry), wording.doubts.badly_heard(), *others)


def _was_right(meaning: Meaning) -> bool | None:
    """Whether what waited for "affirm" was heard right; None: that is not said."""
    match meaning:
        case Spoke(word=StandardWord.AFFIRM):
            return True
        case Spoke(word=word) if word in _TAKEN_BACK:
            return False
        case TookBack():
            return False
        case Stated(corrects=True) | Identified(corrects=True) | Dated(corrects=True):
            return False
    return None
