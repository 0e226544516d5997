"""What was heard is offered: said to the person, who says it again if it is right.

A value that a second person must not hear before they have stated theirs is never offered.
"""

from dataclasses import replace

from handsfree.engine import interrupting, wording
from handsfree.engine.doubt import Doubt, Offer, Wording
from handsfree.engine.effects import Write
from handsfree.engine.entries import BelievedAtLast, NotActedOn
from handsfree.engine.evidence import agrees
from handsfree.engine.open_question import stakes
from handsfree.engine.phase import ACTED_ON, AT_A_STEP, ORDERED_IN
from handsfree.engine.replies import (
    Advance,
    Entries,
    Says,
    not_heeded,
    reply,
    step_id,
    step_number,
    step_of,
)
from handsfree.engine.state import State
from handsfree.engine.trust import DENIAL_AT, MOST_DOUBTS, MOST_SAYINGS, Trust, sayings_wanted
from handsfree.engine.understanding import understood
from handsfree.task.model import Task
from handsfree.words.heard import Heard
from handsfree.words.meanings import (
    BySecond,
    Identified,
    Meaning,
    Ordered,
    Parse,
    Spoke,
    Stated,
    Understood,
)
from handsfree.words.standard import StandardWord

_REPEATED = (StandardWord.SAY_AGAIN, StandardWord.WORDS_TWICE)
YES_OR_NO = frozenset({Spoke(StandardWord.AFFIRM), Spoke(StandardWord.NEGATIVE)})


def answer_to_offer(
    task: Task, state: State, doubt: Doubt, heard: Heard, parsed: Parse, *, doubtful: bool
) -> Advance | None:
    """What follows where something was offered, and a word about the offer was said; else None.

    "Affirm" alone is not enough: it may be a word misheard, and may affirm an older value.
    """
    offer = doubt.offer
    if offer is None or not isinstance(parsed, Understood):
        return None
    meaning, offered = parsed.meaning, offer.wording.meaning
    if offer.waits and agrees(meaning, offered):
        return said_again(task, state, doubt, heard, offer)
    if offer.waits and meaning == Spoke(StandardWord.NEGATIVE) and heard.score >= DENIAL_AT:
        return understood(task, state.without_doubt(), heard, meaning, Trust.ACT)
    is_answer = not isinstance(offered, Spoke | Ordered)
    match meaning:
        case Spoke(word=word) if word in _REPEATED and not doubtful:
            return reply(state.with_doubt(doubt), (), offer_says(state, offer))
        case Spoke(word=StandardWord.AFFIRM) if is_answer:
            entry = not_heeded(task, state, heard, NotActedOn.NOT_EXPECTED)
            doubt = replace(doubt, in_all=doubt.in_all + 1)
            if doubt.in_all >= MOST_SAYINGS:
                return step_waits(task, state, doubt, (entry,))
            return reply(state.with_doubt(doubt), (entry,), offer_says(state, offer))
        case Spoke(word=StandardWord.NEGATIVE) if (
            heard.score >= DENIAL_AT
            and offered != meaning
            and (doubtful or is_answer or StandardWord.NEGATIVE not in ACTED_ON[state.phase])
        ):
            return _denied(task, state, doubt, heard)
    return None


def _denied(task: Task, state: State, doubt: Doubt, heard: Heard) -> Advance:
    entry = not_heeded(task, state, heard, NotActedOn.OFFER_DENIED)
    doubt = doubt.denying()
    if doubt.in_all >= MOST_SAYINGS:
        return step_waits(task, state, doubt, (entry,))
    best = doubt.best_to_offer()
    if best is not None and can_be_offered(task, state, best.meaning):
        return offer_it(task, state, doubt, best, (entry,))
    says = wording.doubts.in_another_form(state, step_of(task, state).expect)
    return reply(state.with_doubt(doubt), (entry,), says)


def said_again(task: Task, state: State, doubt: Doubt, heard: Heard, offer: Offer) -> Advance:
    """The person has said again what was offered: for them it is right."""
    left = offer.sayings_left - 1
    if not left and offer.waits:
        entry = BelievedAtLast(step_id(task, state), heard.words, doubt.in_all + 1)
        return reply(state.without_doubt(), (entry,), state.value_said)
    if not left:
        return believed(task, state, doubt, heard, offer.wording)
    doubt = replace(doubt, offer=replace(offer, sayings_left=left), in_all=doubt.in_all + 1)
    entry_ = not_heeded(task, state, heard, NotActedOn.DOUBTFUL)
    if doubt.in_all >= MOST_SAYINGS:
        return step_waits(task, state, doubt, (entry_,))
    return reply(state.with_doubt(doubt), (entry_,), wording.doubts.once_more())


def offer_it(task: Task, state: State, doubt: Doubt, best: Wording, entries: Entries) -> Advance:
    """Say what may have been heard. How often it must be said again follows from the stakes."""
    at_stake = stakes(task, state, best.words)
    is_read_back = state.phase in AT_A_STEP
    times = sayings_wanted(best.meaning, at_stake, len(doubt.denied), is_read_back=is_read_back)
    offer = Offer(best, times)
    says = offer_says(state, offer)
    return reply(state.with_doubt(replace(doubt, offer=offer)), entries, says)


def offer_says(state: State, offer: Offer) -> Says:
    """Where something waits for "affirm", it is told first: an offered "affirm" would affirm it."""
    meaning = offer.wording.meaning
    before = state.exchange.said if meaning in YES_OR_NO else state.value_said
    if offer.waits:
        return (*before, *wording.doubts.said_again_first())
    return (*before, *wording.doubts.offered(state, offer.wording.words, meaning))


def believed(task: Task, state: State, doubt: Doubt, heard: Heard, said: Wording) -> Advance:
    """It has been said again so often that no more wrong ones pass than by a sure hearing."""
    entry = BelievedAtLast(step_id(task, state), said.words, len(doubt.tries) + 1)
    heard = replace(heard, words=said.words)
    state, effects = understood(task, state.without_doubt(), heard, said.meaning, Trust.READ_BACK)
    return state, (Write(entry), *effects)


def is_unsaid(task: Task, state: State, meaning: Meaning) -> bool:
    """Whether the tool must not say this aloud: a second person has still to state theirs."""
    is_value = isinstance(meaning, Stated | Identified | BySecond)
    return is_value and step_of(task, state).read_back and state.phase in AT_A_STEP


def can_be_offered(task: Task, state: State, meaning: Meaning) -> bool:
    """Whether something would follow if it was right."""
    match meaning:
        case Spoke(word=word):
            return word in ACTED_ON[state.phase]
        case Ordered(word=word):
            return state.phase in ORDERED_IN[word]
    return not is_unsaid(task, state, meaning)


def step_waits(task: Task, state: State, doubt: Doubt, entries: Entries) -> Advance:
    """The step waits; what was heard still counts when it is asked again soon."""
    times = max(doubt.count, MOST_DOUBTS)
    says = wording.doubts.not_heard(times, step_number(task, state))
    why = f"{times} doubtful hearings"
    state, effects = interrupting.stand_by(task, state, entries, why, says)
    return state.with_doubt(replace(doubt, count=0, in_all=0, offer=None)), effects
