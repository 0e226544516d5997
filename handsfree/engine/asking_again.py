"""What follows from something that was not believed: each time another way on, by rising cost.

It is asked for again; then in another form; then what was heard is offered, and said again by the
person if it is right; then the step waits, and other ways are named: another person, the keyboard,
"unable". A value that a second person must not hear before they have stated theirs is never
offered before: it is kept, unsaid, and held against theirs.
"""

from dataclasses import replace

from handsfree.engine import interrupting, wording
from handsfree.engine.doubt import Doubt, Offer, Wording
from handsfree.engine.effects import Effect, Write
from handsfree.engine.entries import BelievedAtLast, NotActedOn, ReadingTaken
from handsfree.engine.evidence import agrees
from handsfree.engine.listening import listening
from handsfree.engine.phase import ACTED_ON, AT_A_STEP, ORDERED_IN, Phase
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
from handsfree.engine.trust import (
    DENIAL_AT,
    LEAST_OF_A_WORD,
    MOST_DOUBTS,
    MOST_SAYINGS,
    Stakes,
    Trust,
    sayings_wanted,
)
from handsfree.engine.understanding import understood
from handsfree.engine.waiting import (
    Answering,
    AwaitingSecond,
    Confirming,
    Identifying,
    IdentityHeard,
    Inspecting,
    Outside,
    StandingBy,
)
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

# A value that must not be said aloud is kept once it was heard so often.
_KEPT_UNSAID_FROM = 3
_REPEATED = (StandardWord.SAY_AGAIN, StandardWord.WORDS_TWICE)


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
        confusable=" ".join(words) in state.given.confusable
        # One short word is all that stands between the record and a pin that is not where it says.
        or state.phase in (Phase.CHECKING_STATES, Phase.GOING_BACK, Phase.INSPECTING),
    )


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
        return _said_again(task, state, doubt, heard, offer)
    if offer.waits and meaning == Spoke(StandardWord.NEGATIVE) and heard.score >= DENIAL_AT:
        return understood(task, state.without_doubt(), heard, meaning, Trust.ACT)
    is_answer = not isinstance(offered, Spoke | Ordered)
    match meaning:
        case Spoke(word=word) if word in _REPEATED and not doubtful:
            return reply(state.with_doubt(doubt), (), _offer_says(state, offer))
        case Spoke(word=StandardWord.AFFIRM) if is_answer:
            entry = not_heeded(task, state, heard, NotActedOn.NOT_EXPECTED)
            doubt = replace(doubt, in_all=doubt.in_all + 1)
            if doubt.in_all >= MOST_SAYINGS:
                return _wait(task, state, doubt, (entry,))
            return reply(state.with_doubt(doubt), (entry,), _offer_says(state, offer))
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
        return _wait(task, state, doubt, (entry,))
    best = doubt.best_to_offer()
    if best is not None and _can_be_offered(task, state, best.meaning):
        return _offer(task, state, doubt, best, (entry,))
    says = wording.doubts.in_another_form(state, step_of(task, state).expect)
    return reply(state.with_doubt(doubt), (entry,), says)


def asked_again(
    task: Task,
    state: State,
    doubt: Doubt,
    heard: Heard,
    wordings: tuple[Wording, ...],
    reason: NotActedOn,
    because: str = "",
) -> Advance:
    """What follows from an utterance that is not believed; it may have said one of `wordings`."""
    entry = not_heeded(task, state, heard, reason)
    if doubt.is_offered(wordings) and doubt.offer is not None:
        return _said_again(task, state, doubt, heard, doubt.offer)
    doubt = doubt.with_try(wordings, heard)
    if doubt.offer is not None and doubt.offer.waits:
        # Nothing else is offered in its place: "affirm" would count again, with neither value sure.
        if doubt.count >= MOST_DOUBTS or doubt.in_all >= MOST_SAYINGS:
            return _wait(task, state, doubt, (entry,))
        return reply(state.with_doubt(doubt), (entry,), _offer_says(state, doubt.offer))
    best = doubt.best_to_offer()
    if best is not None and _is_unsaid(task, state, best.meaning):
        if doubt.heard_as(best.meaning) >= _KEPT_UNSAID_FROM:
            return _kept_unsaid(task, state, doubt, heard, best)
        best = None
    if doubt.in_all >= MOST_SAYINGS:
        return _wait(task, state, doubt, (entry,))
    if doubt.count < MOST_DOUBTS:
        because = because or wording.replies.about_the_sound(heard.trouble)
        # What was not heard may have been a correction: "affirm" must never follow "say again"
        # without the value that it would affirm.
        says = (*wording.replies.say_again(because), *state.value_said)
        is_last = doubt.count + 1 == MOST_DOUBTS
        if (is_last or _was_yes_or_no(state, wordings)) and not because:
            says = wording.doubts.in_another_form(state, step_of(task, state).expect)
        return reply(state.with_doubt(doubt), (entry,), says)
    if best is None or not _can_be_offered(task, state, best.meaning):
        return _wait(task, state, doubt, (entry,))
    return _offer(task, state, doubt, best, (entry,))


def _was_yes_or_no(state: State, wordings: tuple[Wording, ...]) -> bool:
    """Whether it was no more than "affirm" or "negative", for all that was heard.

    "Affirm" is short and the first to be lost in noise, or by an accent: its other form is asked
    for at once.
    """
    heard = {each.meaning for each in wordings[:1]}
    return StandardWord.AFFIRM in ACTED_ON[state.phase] and heard <= _YES_OR_NO


_YES_OR_NO = frozenset({Spoke(StandardWord.AFFIRM), Spoke(StandardWord.NEGATIVE)})


def _said_again(task: Task, state: State, doubt: Doubt, heard: Heard, offer: Offer) -> Advance:
    """The person has said again what was offered: for them it is right."""
    left = offer.sayings_left - 1
    if not left and offer.waits:
        entry = BelievedAtLast(step_id(task, state), heard.words, doubt.in_all + 1)
        return reply(state.without_doubt(), (entry,), state.value_said)
    if not left:
        return _believed(task, state, doubt, heard, offer.wording)
    doubt = replace(doubt, offer=replace(offer, sayings_left=left), in_all=doubt.in_all + 1)
    entry_ = not_heeded(task, state, heard, NotActedOn.DOUBTFUL)
    if doubt.in_all >= MOST_SAYINGS:
        return _wait(task, state, doubt, (entry_,))
    return reply(state.with_doubt(doubt), (entry_,), wording.doubts.once_more())


def doubtful_go_ahead(
    task: Task, state: State, waits: StandingBy, doubt: Doubt, heard: Heard
) -> Advance:
    """While the task stands by, only "go ahead" is offered; to the first one nothing is said.

    Talk between people can be bent into one. But whoever is told nothing for longer does not know
    that they are not heard, nor why: after some it is told; at once where the sound is bad.
    """
    faint = heard.score < LEAST_OF_A_WORD
    wordings = () if faint else (Wording(heard.words, Spoke(StandardWord.GO_AHEAD)),)
    entry = not_heeded(task, state, heard, NotActedOn.DOUBTFUL)
    if doubt.offer is not None and not faint:
        believed = BelievedAtLast(step_id(task, state), heard.words, len(doubt.tries) + 1)
        state, effects = interrupting.go_ahead(task, state.without_doubt(), waits)
        return state, (Write(believed), *effects)
    doubt = doubt.with_try(wordings, heard)
    best = doubt.best_to_offer()
    if best is None:
        because = wording.replies.about_the_sound(heard.trouble)
        if because or doubt.count >= MOST_DOUBTS:
            says = wording.doubts.go_ahead_not_heard(because)
            return reply(state.with_doubt(replace(doubt, count=0)), (entry,), says)
        state = state.with_doubt(doubt)
        return state, (Write(entry), listening(task, state))
    return _offer(task, state, doubt, best, (entry,))


def _offer(task: Task, state: State, doubt: Doubt, best: Wording, entries: Entries) -> Advance:
    at_stake = stakes(task, state, best.words)
    is_read_back = state.phase in AT_A_STEP
    times = sayings_wanted(best.meaning, at_stake, len(doubt.denied), is_read_back=is_read_back)
    offer = Offer(best, times)
    says = _offer_says(state, offer)
    return reply(state.with_doubt(replace(doubt, offer=offer)), entries, says)


def _offer_says(state: State, offer: Offer) -> Says:
    """Where something waits for "affirm", it is told first: an offered "affirm" would affirm it."""
    meaning = offer.wording.meaning
    before = state.exchange.said if meaning in _YES_OR_NO else state.value_said
    if offer.waits:
        return (*before, *wording.doubts.said_again_first())
    return (*before, *wording.doubts.offered(state, offer.wording.words, meaning))


def _believed(task: Task, state: State, doubt: Doubt, heard: Heard, said: Wording) -> Advance:
    """It has been said again so often that no more wrong ones pass than by a sure hearing."""
    entry = BelievedAtLast(step_id(task, state), said.words, len(doubt.tries) + 1)
    heard = replace(heard, words=said.words)
    state, effects = understood(task, state.without_doubt(), heard, said.meaning, Trust.READ_BACK)
    return state, (Write(entry), *effects)


def _is_unsaid(task: Task, state: State, meaning: Meaning) -> bool:
    """Whether the tool must not say this aloud: a second person has still to state theirs."""
    is_value = isinstance(meaning, Stated | Identified | BySecond)
    return is_value and step_of(task, state).read_back and state.phase in AT_A_STEP


def _kept_unsaid(task: Task, state: State, doubt: Doubt, heard: Heard, best: Wording) -> Advance:
    """A value heard often enough to be held against the other person's.

    Where two are the same, and neither is sure, it is said again before "affirm" counts.
    """
    waited = state.waits_for
    at_stake = stakes(task, state, best.words)
    state, effects = _believed(task, state, doubt, heard, best)
    if not (isinstance(waited, AwaitingSecond) and isinstance(state.waits_for, Confirming)):
        return state, effects
    meaning = _read_back_of(waited.first, best.meaning, effects)
    times = sayings_wanted(meaning, at_stake, 0)
    offer = Offer(replace(best, meaning=meaning), times, waits=True)
    state = state.with_doubt(replace(doubt_of(task, state, heard), offer=offer))
    return state, (*effects, *wording.doubts.said_again_first())


def _read_back_of(first: Meaning, second: Meaning, effects: tuple[Effect, ...]) -> Meaning:
    """Of two values that agree within the slack of the gauge, the one that was read back."""
    said = second.stated if isinstance(second, BySecond) else second
    taken = [
        each.entry
        for each in effects
        if isinstance(each, Write) and isinstance(each.entry, ReadingTaken)
    ]
    if taken and isinstance(said, Stated) and said.figures != taken[-1].figures:
        return first
    return said


def _can_be_offered(task: Task, state: State, meaning: Meaning) -> bool:
    """Whether something would follow if it was right."""
    match meaning:
        case Spoke(word=word):
            return word in ACTED_ON[state.phase]
        case Ordered(word=word):
            return state.phase in ORDERED_IN[word]
    return not _is_unsaid(task, state, meaning)


def _wait(task: Task, state: State, doubt: Doubt, entries: Entries) -> Advance:
    """The step waits; what was heard still counts when it is asked again soon."""
    times = max(doubt.count, MOST_DOUBTS)
    says = wording.doubts.not_heard(times, step_number(task, state))
    why = f"{times} doubtful hearings"
    state, effects = interrupting.stand_by(task, state, entries, why, says)
    return state.with_doubt(replace(doubt, count=0, in_all=0, offer=None)), effects
