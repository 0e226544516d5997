"""Help in place of "say again", where words were heard well and mean nothing here.

Nothing is acted on by it. What can be said is told in full the first time and then short; after the
second time the board shows it large.
"""

from dataclasses import replace

from handsfree.engine import wording
from handsfree.engine.entries import NotActedOn, Withdrawn
from handsfree.engine.judging import needs_affirm
from handsfree.engine.phase import Phase
from handsfree.engine.replies import (
    Advance,
    Entries,
    not_heeded,
    reply,
    step_id,
    step_number,
    step_of,
    without_value,
)
from handsfree.engine.state import State
from handsfree.task.expectations import fixed_answers
from handsfree.task.model import Task
from handsfree.words.heard import Heard
from handsfree.words.plain import PlainWord

# So many times in a row, and the board shows what can be said as large as it can.
SHOWN_LARGE_FROM = 2


def asked_for_help(task: Task, state: State) -> Advance:
    """Tell all that can be said here."""
    says = wording.help.help_(step_of(task, state).expect, state)
    return reply(_helped(state), (), (*says, *state.value_said))


def delivery_changed(task: Task, state: State, word: PlainWord) -> Advance:
    """Speak on in another way, as far as that goes, and ask again in it."""
    delivery = state.exchange.delivery.changed_by(word)
    is_bound = delivery == state.exchange.delivery
    state = replace(state, exchange=replace(state.exchange, delivery=delivery))
    expected = step_of(task, state).expect
    asks = state.value_said or wording.help.asked_again(expected, state)
    return reply(state, (), (wording.help.delivery_changed(word, is_bound=is_bound), *asks))


def of_no_use(task: Task, state: State, heard: Heard, words: str) -> Advance:
    """Tell what is of use; `words` are repeated, empty where they are none that are known."""
    state, entries = _in_doubt(task, state)
    to_say = wording.help.what_to_say(step_of(task, state).expect, state)
    in_full = state.exchange.helped == 0
    # Words that are no phrase may have been a phrase that was heard wrong.
    reason = NotActedOn.NOT_EXPECTED if words else NotActedOn.DOUBTFUL
    entry = not_heeded(task, state, heard, reason)
    says = wording.help.heard_but_no_use(words, to_say, in_full=in_full)
    return reply(_helped(state), (entry, *entries), says)


def negated(task: Task, state: State, heard: Heard, phrase: str) -> Advance:
    """`phrase` was said with a "not" in it: it is not so, and nothing is done."""
    state, entries = _in_doubt(task, state)
    step, words = step_of(task, state), " ".join(heard.words)
    to_say = wording.help.what_to_say(step.expect, state)
    entry = not_heeded(task, state, heard, NotActedOn.NEGATED)
    if state.phase is Phase.ANSWERING and phrase in fixed_answers(step.expect):
        says = wording.help.not_so(words, step_number(task, state), to_say)
    else:
        says = wording.help.heard_but_no_use(words, to_say, in_full=True)
    return reply(_helped(state), (entry, *entries), says)


def _in_doubt(task: Task, state: State) -> tuple[State, Entries]:
    """Whatever was said in place of "affirm", the phrase that was read back is in doubt now."""
    if state.phase is Phase.CONFIRMING and not needs_affirm(step_of(task, state).expect):
        return without_value(state), (Withdrawn(step_id(task, state)),)
    return state, ()


def _helped(state: State) -> State:
    exchange = replace(state.exchange, helped=state.exchange.helped + 1)
    return replace(state, exchange=exchange)
