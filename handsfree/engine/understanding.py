"""What was understood, led to the concept that it belongs to in this phase."""

from dataclasses import replace

from handsfree.engine import (
    deferring,
    going_back,
    helping,
    identifying,
    interrupting,
    questions,
    remarks,
    timing,
    wording,
)
from handsfree.engine.answering import another_person, answered, in_place_of_the_second, no_use
from handsfree.engine.crew import not_the_doer, speaker
from handsfree.engine.entries import NotActedOn
from handsfree.engine.findings import CATEGORY_SAID
from handsfree.engine.judging import needs_affirm
from handsfree.engine.leaving import inspection_passed, inspection_rejected, leave
from handsfree.engine.phase import (
    ACTED_ON,
    AT_A_STEP,
    DELIVERY,
    HARMLESS_ORDERS,
    HARMLESS_WORDS,
    ORDERED_IN,
    Phase,
)
from handsfree.engine.replies import Advance, not_heeded, reply, step_of
from handsfree.engine.state import State
from handsfree.engine.taking_back import taken_back, taken_back_in_everyday_words
from handsfree.engine.trust import Trust
from handsfree.engine.waiting import (
    AwaitingSecond,
    Categorising,
    CheckingState,
    Confirming,
    DeferralHeard,
    Deferring,
    GoingBack,
    IdentityHeard,
    Inspecting,
    Referencing,
    StandingBy,
)
from handsfree.engine.wording.saying import words_twice
from handsfree.task.model import Task
from handsfree.task.roles import Role
from handsfree.words.heard import Heard
from handsfree.words.meanings import (
    Asked,
    Casual,
    Confirmed,
    Identified,
    Meaning,
    Negated,
    Ordered,
    Spoke,
    TookBack,
    Understood,
    only_waits,
)
from handsfree.words.plain import INSPECTED, REJECTED, PlainWord
from handsfree.words.standard import StandardWord


def understood_while_standing_by(
    task: Task, state: State, waits: StandingBy, heard: Heard, meaning: Meaning
) -> Advance:
    """What changes nothing is answered while the task waits, and all else is told to wait."""
    if only_waits(Understood(meaning)):
        return reply(state, (), wording.interruptions.standing_by())
    match meaning:
        case Spoke(word=word) if word in HARMLESS_WORDS | ACTED_ON[Phase.STANDING_BY]:
            return _standard_word(task, state, heard, word)
        case Ordered(word=word) if word in HARMLESS_ORDERS:
            return _ordered(task, state, meaning)
        case Asked():
            return questions.answered(task, state, meaning)
    if waits.asked_why and not isinstance(meaning, Casual):
        return interrupting.heard_while_standing_by(task, state, waits, heard)
    entry = not_heeded(task, state, heard, NotActedOn.STANDING_BY)
    return reply(state, (entry,), wording.interruptions.still_standing_by(" ".join(heard.words)))


def understood(task: Task, state: State, heard: Heard, meaning: Meaning, trusted: Trust) -> Advance:
    """Decide what follows `meaning`, of something `heard` that is believed as far as `trusted`."""
    phase = state.phase
    match meaning:
        case Spoke(word=word) if word in ACTED_ON[phase]:
            return _standard_word(task, state, heard, word)
        case Ordered() if phase in ORDERED_IN[meaning.word]:
            return _ordered(task, state, meaning)
        case Identified() if phase is Phase.IDENTIFYING or (
            phase is Phase.IDENTITY_HEARD and meaning.corrects
        ):
            return identifying.staff_number_said(task, state, heard, meaning)
        case Asked():
            return questions.answered(task, state, meaning)
        case TookBack():
            return taken_back_in_everyday_words(task, state, heard)
        case Casual() if phase is not Phase.SECOND:
            return helping.of_no_use(task, state, heard, " ".join(heard.words))
        case Negated(phrase=phrase) if phase is not Phase.SECOND:
            return helping.negated(task, state, heard, phrase)
    match state.waits_for, meaning:
        case Inspecting() as inspecting, Confirmed(phrase=phrase):
            return _inspected(task, state, inspecting, heard, phrase)
        case Categorising() as asked, Confirmed(phrase=phrase):
            if phrase in CATEGORY_SAID:
                return remarks.categorised(task, state, asked, CATEGORY_SAID[phrase])
        case Referencing() as asked, Identified(characters=characters):
            return deferring.reference_said(task, state, asked, characters)
        case DeferralHeard() as asked, Identified(characters=characters, corrects=True):
            return deferring.reference_said(task, state, asked, characters)
        case AwaitingSecond() as asked, _:
            return in_place_of_the_second(task, state, asked, heard, meaning)
    if phase in AT_A_STEP and not isinstance(meaning, Spoke | Ordered):
        return answered(task, state, heard, meaning, trusted)
    return no_use(task, state, heard)


def _inspected(
    task: Task, state: State, inspecting: Inspecting, heard: Heard, phrase: str
) -> Advance:
    inspector = Role.INSPECTOR
    if phrase not in (INSPECTED, REJECTED):
        return no_use(task, state, heard)
    if heard.channel is not None and heard.channel != inspector.channel:
        return another_person(task, state, heard, inspector)
    if phrase == REJECTED:
        return inspection_rejected(task, state, inspecting)
    return inspection_passed(task, state, inspecting)


def _ordered(task: Task, state: State, order: Ordered) -> Advance:
    match order:
        case Ordered(PlainWord.WHERE_AM_I):
            says = (*wording.replies.where(task, state), *timing.told(task, state))
            return reply(state, (), says)
        case Ordered(PlainWord.HAND_OVER):
            return interrupting.hand_over(task, state)
        case Ordered(PlainWord.BACK_TO_STEP, number=int(number)):
            return going_back.ask_back(task, state, number)
        case Ordered(PlainWord.CLOSE_FINDING, number=int(number)):
            return identifying.close_finding(state, number)
        case Ordered(PlainWord.HELP):
            return helping.asked_for_help(task, state)
        case Ordered(PlainWord.STOP):
            return interrupting.stand_by(
                task, state, (), PlainWord.STOP.value, wording.interruptions.standing_by()
            )
        case Ordered(word=word) if word in DELIVERY:
            return helping.delivery_changed(task, state, word)
        case Ordered(PlainWord.GO_BACK):
            last = task.index_of[state.done[-1]] + 1 if state.done else None
            return reply(state, (), wording.help.which_step(last))
    raise AssertionError(f"{order} has no rule")


def _standard_word(task: Task, state: State, heard: Heard, word: StandardWord) -> Advance:
    match word:
        case StandardWord.SAY_AGAIN:
            return reply(state, (), state.exchange.said)
        case StandardWord.WORDS_TWICE:
            return reply(state, (), words_twice(state.exchange.said))
        case StandardWord.READ_BACK:
            return reply(state, (), state.value_said)
        case StandardWord.HOW_DO_YOU_READ:
            return reply(state, (), (wording.replies.readability(heard.score),))
        case StandardWord.STAND_BY:
            says = wording.interruptions.standing_by()
            return interrupting.stand_by(task, state, (), word.value, says)
        case StandardWord.UNABLE:
            return remarks.unable(task, state)
        case StandardWord.AFFIRM:
            return _affirmed(task, state, heard)
        case StandardWord.GO_AHEAD:
            return _told_to_go_ahead(task, state)
        case StandardWord.NEGATIVE | StandardWord.CORRECTION | StandardWord.DISREGARD:
            return taken_back(task, state)


def _told_to_go_ahead(task: Task, state: State) -> Advance:
    match state.waits_for:
        case Deferring() | Referencing() | DeferralHeard() | StandingBy() as waits:
            return interrupting.go_ahead(task, state, waits)
    raise AssertionError(f"nothing waits for 'go ahead' while {state.phase.value}")


def _affirmed(task: Task, state: State, heard: Heard) -> Advance:
    match state.waits_for:
        case Deferring() as waits:
            return deferring.ask_who(state, waits)
        case DeferralHeard() as waits:
            return deferring.affirmed(task, state, heard, waits)
        case IdentityHeard() as identity:
            return identifying.affirmed(task, state, heard, identity)
        case CheckingState(name=name):
            return interrupting.state_affirmed(task, state, name)
        case GoingBack(to=to):
            return going_back.gone_back(task, state, to)
        case Confirming(value=value, outcome=outcome):
            doer = not_the_doer(step_of(task, state), state.crew, heard, states_value=False)
            if doer is not None:
                return another_person(task, state, heard, doer)
            step = step_of(task, state)
            crew = state.crew.with_part_of(step.id, speaker(step, heard))
            state = replace(state, crew=crew)
            if isinstance(value, str) and not needs_affirm(step_of(task, state).expect):
                heard = replace(heard, words=tuple(value.split()))  # the phrase that was affirmed
            return leave(task, state, outcome, heard)
    raise AssertionError(f"nothing waits for 'affirm' while {state.phase.value}")
