"""An answer to the step: judged, held against a second one, and asked about or acted on."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

from handsfree.engine import second, wording
from handsfree.engine.accounting import accounted
from handsfree.engine.crew import not_the_doer, speaker
from handsfree.engine.entries import (
    AnsweredTooEarly,
    DateRead,
    NotActedOn,
    ReadingTaken,
    Withdrawn,
)
from handsfree.engine.judging import Outcome, judge, needs_affirm, read_back_first
from handsfree.engine.leaving import leave
from handsfree.engine.on_file import on_file
from handsfree.engine.phase import AT_A_STEP, Phase
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
from handsfree.engine.trust import Trust
from handsfree.engine.waiting import Answering, AwaitingSecond, Confirming, Outside
from handsfree.task.course import DONE, LATE, OUTCOME_OF, OUTCOME_OF_DATE, Way, move, way_out
from handsfree.task.expectations import ChoiceExpected
from handsfree.task.model import Task
from handsfree.task.roles import Role
from handsfree.task.step import Step
from handsfree.words.heard import Heard
from handsfree.words.meanings import BySecond, Confirmed, Dated, Identified, Meaning, Stated


def answered(task: Task, state: State, heard: Heard, meaning: Meaning, trusted: Trust) -> Advance:
    """What follows from an answer while the step waits for one."""
    step = step_of(task, state)
    is_value = isinstance(meaning, Stated | Identified | BySecond)
    if step.read_back and is_value and second.is_second_person(heard, meaning):
        return second.technician_first(task, state, heard)
    if isinstance(meaning, BySecond):
        if not step.read_back:
            return no_use(task, state, heard)
        # Said on the channel of another person: whose word it is, is not certain.
        return second.technician_first(task, state, heard)
    states_value = isinstance(meaning, Stated | Identified | Dated)
    doer = not_the_doer(step, state.crew, heard, states_value=states_value)
    if doer is not None:
        return another_person(task, state, heard, doer)
    outcome = judge(step, dict(state.readings), meaning, state.phase, on_file(task, state))
    if outcome is None:
        return no_use(task, state, heard)
    crew = state.crew.with_part_of(step.id, speaker(step, heard))
    state = replace(state, crew=crew)
    if step.wait is not None:
        since = dict(state.progress.done_at)[step.wait.since]
        if step.wait.at_least is not None and heard.started - since < step.wait.at_least:
            return _too_early(task, state, heard, step.wait.at_least - (heard.started - since))
        is_void = step.wait.since in state.progress.void
        if step.wait.at_most is not None and (is_void or heard.ended - since > step.wait.at_most):
            return leave(task, state, LATE, heard)
    if step.read_back and second.is_taken(outcome) and isinstance(meaning, Stated | Identified):
        return second.first_stated(task, state, heard, meaning)
    return _judged(task, state, heard, outcome, meaning, trusted)


def another_person(task: Task, state: State, heard: Heard, wanted: Role) -> Advance:
    """Somebody else spoke than must answer here."""
    entry = not_heeded(task, state, heard, NotActedOn.ANOTHER_PERSON)
    return reply(state, (entry,), wording.people.another_channel(wanted))


def in_place_of_the_second(
    task: Task, state: State, asked: AwaitingSecond, heard: Heard, meaning: Meaning
) -> Advance:
    """What follows while the second person is waited for, from whatever was said."""
    if isinstance(meaning, Stated | Identified | BySecond):
        said = meaning.stated if isinstance(meaning, BySecond) else meaning
        if second.is_second_person(heard, meaning):
            found = second.second_stated(task, state, asked.first, said)
            if isinstance(found[0], Outcome):
                outcome, state = found
                return _judged(task, state, heard, outcome, said, Trust.ACT)
            return found
        if said is meaning and said.corrects and heard.channel != Role.INSPECTOR.channel:
            return answered(task, without_value(state), heard, said, Trust.ACT)
        return second.not_the_second(task, state, heard, NotActedOn.ANOTHER_PERSON)
    return second.not_the_second(task, state, heard, NotActedOn.NOT_EXPECTED)


def _judged(
    task: Task, state: State, heard: Heard, outcome: Outcome, meaning: Meaning, trusted: Trust
) -> Advance:
    """Ask for "affirm", ask for another answer, or leave the step."""
    step = step_of(task, state)
    outcome = accounted(task, state, outcome)
    way = _way_of(step, outcome, meaning)
    if needs_affirm(step.expect):
        if way is not None and outcome.outside:
            outcome = _leading_on(task, state, outcome, way)
        if way is not None and outcome.pending is not None:
            return _to_be_affirmed(state, outcome, outcome.pending, way)
        waits = Outside(outcome.says) if outcome.outside else Answering(outcome.says)
        return ask(replace(state, waits_for=waits), outcome.entries, outcome.says)
    if way is None:
        return ask(without_value(state), outcome.entries, outcome.says)
    if trusted is Trust.READ_BACK:
        phrase = " ".join(heard.words)
        return _to_be_affirmed(state, read_back_first(step, outcome, phrase), phrase, way)
    return leave(task, state, way.outcome, heard, outcome.entries)


def _way_of(step: Step, outcome: Outcome, meaning: Meaning) -> Way | None:
    """How the answer leaves the step, at once or once it is affirmed; None where it does not."""
    match meaning:
        case Confirmed(phrase=phrase) if isinstance(step.expect, ChoiceExpected):
            return way_out(step, phrase)
        case Stated():
            taken = [each for each in outcome.entries if isinstance(each, ReadingTaken)]
            return way_out(step, OUTCOME_OF[taken[-1].verdict]) if taken else None
        case Dated():
            read = next(each for each in outcome.entries if isinstance(each, DateRead))
            led_by = OUTCOME_OF_DATE.get(read.verdict)
            return None if led_by is None else way_out(step, led_by)
    return way_out(step, DONE) if outcome.done or outcome.pending is not None else None


def _leading_on(task: Task, state: State, outcome: Outcome, way: Way) -> Outcome:
    """A value outside its limits that the task has a way for waits for "affirm" like any other."""
    leads_to = move(task, state.position, way).step
    question = wording.steps.leads_on(None if leads_to == len(task.steps) else leads_to + 1)
    value = next(
        each.said if isinstance(each, DateRead) else each.value
        for each in outcome.entries
        if isinstance(each, ReadingTaken | DateRead)
    )
    says = (*outcome.says[:-1], question)
    return replace(outcome, outside=False, pending=value, says=says)


def _to_be_affirmed(state: State, outcome: Outcome, value: Decimal | str, way: Way) -> Advance:
    waits = Confirming(value, way.outcome, outcome.says)
    return ask(replace(state, waits_for=waits), outcome.entries, outcome.says)


def _too_early(task: Task, state: State, heard: Heard, remaining: timedelta) -> Advance:
    # What was measured too early counts for nothing, and nor does a value that it would correct.
    says = wording.steps.too_early(remaining)
    entry = AnsweredTooEarly(step_id(task, state), " ".join(heard.words), remaining)
    return ask(without_value(state), (entry,), says)


def no_use(task: Task, state: State, heard: Heard) -> Advance:
    """Something was understood that is of no use here: say so, and what would be."""
    entry = not_heeded(task, state, heard, NotActedOn.NOT_EXPECTED)
    words = " ".join(heard.words)
    if state.phase is Phase.SECOND:
        return second.not_the_second(task, state, heard, NotActedOn.NOT_EXPECTED)
    if state.phase is Phase.DEFERRING:
        return reply(state, (entry,), wording.replies.defer_or_go_ahead(words))
    if state.phase not in AT_A_STEP:
        return reply(
            state, (entry,), wording.replies.no_use(words, wording.replies.answer_wanted(state))
        )
    step, confirming = step_of(task, state), state.phase is Phase.CONFIRMING
    expected = step.expect
    if step.read_back:
        words = "something else"  # it may be a value, which the second person must not hear first
    if confirming and needs_affirm(expected):
        return reply(state, (entry,), wording.replies.confirm_or_correct(words))
    says = wording.replies.no_use(words, wording.steps.expected_answer(expected))
    if confirming:
        # Whatever was said in place of "affirm", the phrase that was read back is in doubt now.
        return reply(without_value(state), (entry, Withdrawn(step_id(task, state))), says)
    return reply(state, (entry,), says)
