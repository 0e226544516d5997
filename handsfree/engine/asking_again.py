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
from handsfree.engine.listening import listening
from handsfree.engine.offering import (
    YES_OR_NO,
    believed,
    can_be_offered,
    is_unsaid,
    offer_it,
    offer_says,
    said_again,
    step_waits,
)
from handsfree.engine.open_question import doubt_of, stakes
from handsfree.engine.phase import ACTED_ON
from handsfree.engine.replies import Advance, not_heeded, reply, step_id, step_of
from handsfree.engine.state import State
from handsfree.engine.trust import LEAST_OF_A_WORD, MOST_DOUBTS, MOST_SAYINGS, sayings_wanted
from handsfree.engine.waiting import AwaitingSecond, Confirming, StandingBy
from handsfree.task.model import Task
from handsfree.words.heard import Heard
from handsfree.words.meanings import BySecond, Meaning, Spoke, Stated
from handsfree.words.standard import StandardWord

# A value that must not be said aloud is kept once it was heard so often.
_KEPT_UNSAID_FROM = 3


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
        return said_again(task, state, doubt, heard, doubt.offer)
    doubt = doubt.with_try(wordings, heard)
    if doubt.offer is not None and doubt.offer.waits:
        # Nothing else is offered in its place: "affirm" would count again, with neither value sure.
        if doubt.count >= MOST_DOUBTS or doubt.in_all >= MOST_SAYINGS:
            return step_waits(task, state, doubt, (entry,))
        return reply(state.with_doubt(doubt), (entry,), offer_says(state, doubt.offer))
    best = doubt.best_to_offer()
    if best is not None and is_unsaid(task, state, best.meaning):
        if doubt.heard_as(best.meaning) >= _KEPT_UNSAID_FROM:
            return _kept_unsaid(task, state, doubt, heard, best)
        best = None
    if doubt.in_all >= MOST_SAYINGS:
        return step_waits(task, state, doubt, (entry,))
    if doubt.count < MOST_DOUBTS:
        expected = step_of(task, state).expect
        because = because or wording.replies.about_the_answer(state, expected, heard.trouble)
        # What was not heard may have been a correction: "affirm" must never follow "say again"
        # without the value that it would affirm.
        says = (*wording.replies.say_again(because), *state.value_said)
        is_last = doubt.count + 1 == MOST_DOUBTS
        if (is_last or _was_yes_or_no(state, wordings)) and not because:
            says = wording.doubts.in_another_form(state, expected)
        return reply(state.with_doubt(doubt), (entry,), says)
    if best is None or not can_be_offered(task, state, best.meaning):
        return step_waits(task, state, doubt, (entry,))
    return offer_it(task, state, doubt, best, (entry,))


def _was_yes_or_no(state: State, wordings: tuple[Wording, ...]) -> bool:
    """Whether it was no more than "affirm" or "negative", for all that was heard.

    "Affirm" is short and the first to be lost in noise, or by an accent: its other form is asked
    for at once.
    """
    heard = {each.meaning for each in wordings[:1]}
    return StandardWord.AFFIRM in ACTED_ON[state.phase] and heard <= YES_OR_NO


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
        at_last = BelievedAtLast(step_id(task, state), heard.words, len(doubt.tries) + 1)
        state, effects = interrupting.go_ahead(task, state.without_doubt(), waits)
        return state, (Write(at_last), *effects)
    doubt = doubt.with_try(wordings, heard)
    best = doubt.best_to_offer()
    if best is None:
        because = wording.replies.about_the_sound(heard.trouble)
        if because or doubt.count >= MOST_DOUBTS:
            says = wording.doubts.go_ahead_not_heard(because)
            return reply(state.with_doubt(replace(doubt, count=0)), (entry,), says)
        state = state.with_doubt(doubt)
        return state, (Write(entry), listening(task, state))
    return offer_it(task, state, doubt, best, (entry,))


def _kept_unsaid(task: Task, state: State, doubt: Doubt, heard: Heard, best: Wording) -> Advance:
    """A value heard often enough to be held against the other person's.

    Where two are the same, and neither is sure, it is said again before "affirm" counts.
    """
    waited = state.waits_for
    at_stake = stakes(task, state, best.words)
    state, effects = believed(task, state, doubt, heard, best)
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
