"""An utterance that the run listened for: it is believed, or asked about.

What is believed is led on by `understanding`; what is not, by `asking_again`.
"""

from dataclasses import replace

from handsfree.engine import deferring, helping, identifying, interrupting, remarks, wording
from handsfree.engine.asking_again import asked_again, doubtful_go_ahead
from handsfree.engine.doubt import Doubt, wordings_of
from handsfree.engine.entries import NotActedOn
from handsfree.engine.leaving import rework
from handsfree.engine.misheard import voice_of
from handsfree.engine.offering import answer_to_offer
from handsfree.engine.open_question import doubt_of, stakes
from handsfree.engine.over_the_tool import (
    asks_to_wait,
    heard_over_the_tool,
    is_cut_off,
    without_its_words,
)
from handsfree.engine.phase import ACTED_ON, AT_A_STEP, Phase
from handsfree.engine.phrases_now import phrases_now
from handsfree.engine.replies import Advance, UnexpectedEvent, not_heeded, reply, step_of
from handsfree.engine.state import State
from handsfree.engine.taking_back import correction_begun, only_takes_back
from handsfree.engine.trust import PHRASE_AT, Trust, trust
from handsfree.engine.understanding import understood, understood_while_standing_by
from handsfree.engine.waiting import StandingBy, WhatWasDone, WhoDeferred, WhyRejected, WhyUnable
from handsfree.task.course import REJECTED
from handsfree.task.model import Task
from handsfree.words.heard import EndRule, Heard
from handsfree.words.meanings import (
    Ambiguous,
    Asked,
    NotUnderstood,
    Ordered,
    Parse,
    Spoke,
    Understood,
    only_waits,
)
from handsfree.words.plain import PlainWord
from handsfree.words.standard import StandardWord


def heard_now(task: Task, state: State, heard: Heard) -> Advance:
    """What follows. Raises UnexpectedEvent where nothing is listened for."""
    if state.phase in (Phase.READY, Phase.FINISHED):
        raise UnexpectedEvent(f"nothing is listened for while {state.phase.value}")
    if state.speaking or (is_cut_off(heard) and asks_to_wait(heard)):
        return heard_over_the_tool(task, state, heard)
    if is_cut_off(heard):
        heard = without_its_words(heard)
    phrases = phrases_now(task, state)
    parsed = phrases.parse(heard.words)
    doubt = doubt_of(task, state, heard)
    trusted = _trusted(task, state, doubt, heard, parsed)
    # Only at a step can a phrase be read back to be affirmed.
    in_doubt = {Trust.ASK_AGAIN} if state.phase in AT_A_STEP else {Trust.ASK_AGAIN, Trust.READ_BACK}
    doubtful = trusted in in_doubt
    waits = state.waits_for
    if isinstance(waits, StandingBy):
        if isinstance(parsed, Understood) and not doubtful:
            return understood_while_standing_by(task, state, waits, heard, parsed.meaning)
        if parsed == Understood(Spoke(StandardWord.GO_AHEAD)):
            return doubtful_go_ahead(task, state, waits, doubt, heard)
        is_clear = bool(heard.words) and heard.score >= PHRASE_AT
        if is_clear and not waits.asked_why:
            # Only at a keyboard are words clear that are no phrase: they are for the tool.
            entry = not_heeded(task, state, heard, NotActedOn.STANDING_BY)
            return reply(state, (entry,), wording.help.asked_again(None, state))
        return interrupting.heard_while_standing_by(task, state, waits, heard)
    if isinstance(waits, _AnyWords):
        if not doubtful and isinstance(parsed, Understood):
            match parsed.meaning:
                case Spoke(word=word) if word in ACTED_ON[state.phase]:
                    return reply(state, (), state.exchange.said)
                case Ordered(PlainWord.HELP):
                    return helping.asked_for_help(task, state)
        if isinstance(waits, WhatWasDone) and not doubtful and isinstance(parsed, Understood):
            stays_open = identifying.stays_open(task, state, heard, parsed.meaning)
            if stays_open is not None:
                return stays_open
        return _remarked(task, state, heard, waits)
    half = _is_not_all(heard, parsed)
    if half and not doubtful:
        # Who waits for more loses nothing by these; asked about, they come too late.
        half = not (only_waits(parsed) or only_takes_back(state, parsed))
    if half or doubtful or not isinstance(parsed, Understood):
        corrects = correction_begun(task, state, heard, _why_in_doubt(parsed, half=half))
        if corrects is not None:
            return corrects
    if half:
        # Half a value is none: it is not remembered either.
        to_say = wording.replies.all_of_it(state, step_of(task, state).expect)
        return asked_again(task, state, doubt, heard, (), NotActedOn.NOT_ALL, to_say)
    answer = answer_to_offer(task, state, doubt, heard, parsed, doubtful=doubtful)
    if answer is not None:
        return answer
    if isinstance(parsed, NotUnderstood) and heard.words and heard.score >= PHRASE_AT:
        return helping.of_no_use(task, _settled(state, doubt), heard, "")
    if doubtful or isinstance(parsed, NotUnderstood):
        wordings = wordings_of(heard, parsed, phrases)
        return asked_again(task, state, doubt, heard, wordings, NotActedOn.DOUBTFUL)
    if isinstance(parsed, Ambiguous):
        why = parsed.reason
        return asked_again(task, state, doubt, heard, (), NotActedOn.AMBIGUOUS, why)
    state = _settled(state, doubt, still_open=_repeats(parsed))
    if parsed.meaning == Spoke(StandardWord.AFFIRM):
        state = _asked_in_the_word_heard(state, doubt, heard)
    after, effects = understood(task, state, heard, parsed.meaning, trusted)
    if after.exchange.helped == state.exchange.helped:
        after = replace(after, exchange=replace(after.exchange, helped=0))
    return after, effects


def _is_not_all(heard: Heard, parsed: Parse) -> bool:
    """Whether somebody stopped in the middle; what is ambiguous has a reason that says more."""
    ended_by = heard.ended_by
    half = ended_by is not None and ended_by.rule is EndRule.NOT_ALL
    return half and not isinstance(parsed, Ambiguous)


def _why_in_doubt(parsed: Parse, *, half: bool) -> NotActedOn:
    if half:
        return NotActedOn.NOT_ALL
    return NotActedOn.AMBIGUOUS if isinstance(parsed, Ambiguous) else NotActedOn.DOUBTFUL


def _trusted(task: Task, state: State, doubt: Doubt, heard: Heard, parsed: Parse) -> Trust:
    """What the hearing is good for, with what was heard before, from this voice."""
    score = voice_of(state, heard).corrected(heard.score)
    if isinstance(parsed, Understood):
        score = doubt.belief(parsed.meaning, heard, score)
    return trust(score, parsed, stakes(task, state, heard.words))


def _asked_in_the_word_heard(state: State, doubt: Doubt, heard: Heard) -> State:
    """Who was not heard before they said "affirmative" is asked by that word from now on."""
    if heard.words == (StandardWord.AFFIRM.value,):
        return replace(state, exchange=replace(state.exchange, affirmative=False))
    if doubt.count:
        return replace(state, exchange=replace(state.exchange, affirmative=True))
    return state


def _settled(state: State, doubt: Doubt, *, still_open: bool = False) -> State:
    """The state once something was heard surely.

    What is only said once more leaves the question open, with what was heard of it; and nothing in
    between makes up for a value that is still to be said again.
    """
    kept = still_open or (doubt.offer is not None and doubt.offer.waits)
    return state.with_doubt(replace(doubt, count=0) if kept else Doubt())


def _repeats(parsed: Understood) -> bool:
    """Whether nothing is answered by it, so that the question stays the same."""
    match parsed.meaning:
        case Spoke(word=StandardWord.SAY_AGAIN | StandardWord.WORDS_TWICE | StandardWord.READ_BACK):
            return True
        case Spoke(word=StandardWord.HOW_DO_YOU_READ) | Asked():
            return True
        case Ordered(word=PlainWord.WHERE_AM_I | PlainWord.HELP):
            return True
    return False


_AnyWords = WhyUnable | WhyRejected | WhatWasDone | WhoDeferred  # the next utterance is a remark


def _remarked(task: Task, state: State, heard: Heard, waits: _AnyWords) -> Advance:
    asked_again = remarks.nothing_said(task, state, heard, _WANTED[type(waits)])
    if asked_again is not None:
        return asked_again
    state = state.without_doubt()
    state = replace(state, exchange=replace(state.exchange, helped=0))
    match waits:
        case WhyUnable():
            return remarks.why_unable(task, state, heard, waits)
        case WhyRejected():
            return rework(task, state, heard, remarks.remark(task, state, REJECTED, heard))
        case WhatWasDone():
            return identifying.closed(task, state, heard, waits)
        case WhoDeferred():
            return deferring.name_said(task, state, heard, waits)


_WANTED = {
    WhyUnable: "Say why.",
    WhyRejected: "Say why.",
    WhatWasDone: "Say what was done.",
    WhoDeferred: "Say the name.",
}
