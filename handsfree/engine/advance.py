"""The conversation: what follows each event.

`advance` is the whole engine. Equal inputs give equal effects, on any day, on any machine.
"""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import TypeVar

from handsfree.engine import wording
from handsfree.engine.accounting import accounted, seen_after
from handsfree.engine.answers import Outcome, judge, needs_affirm, read_back_first
from handsfree.engine.effects import Effect, Finish, Listen, Say, Write
from handsfree.engine.entries import (
    AnsweredTooEarly,
    DateRead,
    Entry,
    NotActedOn,
    NotHeeded,
    ReadingTaken,
    StepBegun,
    StepConfirmed,
    StepDeferred,
    StepLeft,
    StoodBy,
    TaskBegun,
    TaskEnded,
    WentOn,
    Withdrawn,
)
from handsfree.engine.events import Event, HearingLost, HearingReturned, Spoken, Started
from handsfree.engine.listening import phrases_now
from handsfree.engine.on_file import on_file
from handsfree.engine.state import ACTED_ON, Phase, State
from handsfree.engine.trust import MOST_DOUBTS, Stakes, Trust, trust
from handsfree.task.course import (
    DEFERRED,
    DONE,
    INSIDE,
    LATE,
    OUTCOME_OF,
    OUTCOME_OF_DATE,
    Way,
    beginning,
    move,
    way_out,
)
from handsfree.task.model import ChoiceExpected, DateExpected, IdentityExpected, Step, Task
from handsfree.words.heard import Heard
from handsfree.words.meanings import (
    Ambiguous,
    Confirmed,
    Dated,
    Meaning,
    NotUnderstood,
    Spoke,
    Stated,
    Understood,
)
from handsfree.words.standard import StandardWord

_Found = TypeVar("_Found")

Advance = tuple[State, tuple[Effect, ...]]


class UnexpectedEvent(ValueError):
    """The shell sent an event that cannot happen now: a mistake in the shell, not of a person."""


def before_start(task: Task) -> State:
    """The state of a run before anything has happened."""
    return State(
        phase=Phase.READY,
        step=0,
        speaking=False,
        doubts=0,
        pending=None,
        outcome="",
        readings=(),
        variants=(),
        states=tuple((name, state.start) for name, state in task.states.items()),
        counts=tuple((name, each.start) for name, each in task.counted.items()),
        answered=(),
        done_at=(),
        findings=(),
        said=(),
        value_said=(),
    )


def advance(task: Task, state: State, event: Event) -> Advance:
    """Decide what follows `event`.

    The effects are to be carried out in order. After any `Say` the shell sends `Spoken` when the
    last word is out; nothing heard before that is acted on. Raises UnexpectedEvent, and only
    that, for an event that the phase does not allow.
    """
    match event:
        case Started():
            known = replace(state, today=event.today, equipment=event.equipment)
            return _started(task, replace(known, confusable=event.confusable), event)
        case Spoken():
            return _spoken(task, state)
        case Heard():
            return _heard(task, state, event)
        case HearingLost() | HearingReturned():
            return _hearing_changed(task, state, event)


def _started(task: Task, state: State, started: Started) -> Advance:
    if state.phase is not Phase.READY:
        raise UnexpectedEvent("the task has already been started")
    variants = dict(started.variants)
    if variants.keys() != task.variants.keys() or any(
        value not in task.variants[name] for name, value in variants.items()
    ):
        raise UnexpectedEvent(f"{variants} is not one value for each of {dict(task.variants)}")
    begun = TaskBegun(
        task.task,
        task.revision,
        task.approved_data.reference,
        task.approved_data.revision,
        state.confusable,
        started.variants,
    )
    state = state.at(beginning(task, variants))
    return _go_on(task, state, (Write(begun),), wording.opening(task, variants))


def _spoken(task: Task, state: State) -> Advance:
    if not state.speaking:
        raise UnexpectedEvent("nothing was being said")
    state = replace(state, speaking=False)
    if state.phase is Phase.FINISHED:
        return state, (Finish(),)
    if state.phase is Phase.ANSWERING and task.steps[state.step].expect is None:
        return _leave(task, state, DONE, None, ())
    return state, (Listen(phrases_now(task, state)),)


def _heard(task: Task, state: State, heard: Heard) -> Advance:
    if state.phase in (Phase.READY, Phase.FINISHED):
        raise UnexpectedEvent(f"nothing is listened for while {state.phase.value}")
    if state.speaking:
        return state, (_not_heeded(task, state, heard, NotActedOn.SPOKEN_OVER),)
    parsed = phrases_now(task, state).parse(heard.words)
    trusted = trust(heard.score, parsed, _stakes(task, state, heard))
    doubtful = trusted is Trust.ASK_AGAIN
    if state.phase is Phase.STANDING_BY:
        if parsed == Understood(Spoke(StandardWord.GO_AHEAD)) and not doubtful:
            went_on = WentOn(_step_id(task, state))
            return _begin_step(task, state, (went_on,), (wording.going_on(),))
        # People talk to each other while the task waits: no answer, but listen on.
        return state, (
            _not_heeded(task, state, heard, NotActedOn.STANDING_BY),
            Listen(phrases_now(task, state)),
        )
    if doubtful or isinstance(parsed, NotUnderstood):
        return _doubt(task, state, heard, NotActedOn.DOUBTFUL)
    if isinstance(parsed, Ambiguous):
        return _doubt(task, state, heard, NotActedOn.AMBIGUOUS, parsed.reason)
    return _understood(task, replace(state, doubts=0), heard, parsed.meaning, trusted)


def _hearing_changed(task: Task, state: State, event: HearingLost | HearingReturned) -> Advance:
    if state.speaking or state.phase in (Phase.READY, Phase.FINISHED):
        raise UnexpectedEvent("nothing is listened for now")
    if isinstance(event, HearingLost):
        says = wording.hearing_lost(event.reason, state.step + 1)
        return _stand_by(task, state, (), f"could not hear: {event.reason}", says)
    if state.phase is not Phase.STANDING_BY:
        raise UnexpectedEvent("the hearing was not lost")
    return _reply(state, (), wording.hearing_returned())


def _stakes(task: Task, state: State, heard: Heard) -> Stakes:
    return Stakes(
        critical=task.steps[state.step].critical,
        confusable=" ".join(heard.words) in state.confusable,
    )


def _doubt(
    task: Task, state: State, heard: Heard, reason: NotActedOn, asked_because: str = ""
) -> Advance:
    state = replace(state, doubts=state.doubts + 1)
    not_heeded = _not_heeded(task, state, heard, reason)
    if state.doubts < MOST_DOUBTS:
        # What was not heard may have been a correction: "affirm" must never follow "say again"
        # without the value that it would affirm.
        says = (*wording.say_again(asked_because), *state.value_said)
        return _reply(state, (not_heeded,), says)
    doubts = wording.not_heard(state.doubts, state.step + 1)
    return _stand_by(task, state, (not_heeded,), f"{state.doubts} doubtful hearings", doubts)


def _understood(
    task: Task, state: State, heard: Heard, meaning: Meaning, trusted: Trust
) -> Advance:
    if isinstance(meaning, Spoke):
        if meaning.word in ACTED_ON[state.phase]:
            return _standard_word(task, state, heard, meaning.word)
        return _no_use(task, state, heard)
    step = task.steps[state.step]
    outcome = judge(step, dict(state.readings), meaning, state.phase, on_file(task, state))
    if outcome is None or state.phase is Phase.DEFERRING:
        return _no_use(task, state, heard)
    outcome = accounted(task, state, outcome)
    if step.wait is not None:
        since = dict(state.done_at)[step.wait.since]
        if step.wait.at_least is not None and heard.started - since < step.wait.at_least:
            return _too_early(task, state, heard, step.wait.at_least - (heard.started - since))
        if step.wait.at_most is not None and heard.ended - since > step.wait.at_most:
            return _leave(task, state, LATE, heard, ())
    way = _way_of(step, outcome, meaning)
    if needs_affirm(step.expect):
        if way is not None and outcome.phase is Phase.OUTSIDE:
            outcome = _leading_on(task, state, outcome, way)
        return _ask_about(state, outcome, way, held=True)
    if way is None:
        return _ask_about(state, outcome, None, held=False)
    if trusted is Trust.READ_BACK:
        outcome = read_back_first(step, outcome, " ".join(heard.words))
        return _ask_about(state, outcome, way, held=True)
    return _leave(task, state, way.outcome, heard, tuple(map(Write, outcome.entries)))


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
    question = wording.leads_on(None if leads_to == len(task.steps) else leads_to + 1)
    value = next(
        each.said if isinstance(each, DateRead) else each.value
        for each in outcome.entries
        if isinstance(each, ReadingTaken | DateRead)
    )
    says = (*outcome.says[:-1], question)
    return replace(outcome, phase=Phase.CONFIRMING, pending=value, says=says)


def _ask_about(state: State, outcome: Outcome, way: Way | None, held: bool) -> Advance:
    waits = outcome.pending is not None
    state = replace(
        state,
        phase=outcome.phase,
        pending=outcome.pending,
        outcome=way.outcome if waits and way is not None else "",
        said=outcome.says,
        value_said=outcome.says if held else (),
    )
    return _reply(state, tuple(map(Write, outcome.entries)), outcome.says)


def _too_early(task: Task, state: State, heard: Heard, remaining: timedelta) -> Advance:
    # What was measured too early counts for nothing, and nor does a value that it would correct.
    state = _without_value(state)
    says = wording.too_early(remaining)
    entry = AnsweredTooEarly(_step_id(task, state), " ".join(heard.words), remaining)
    return _reply(replace(state, said=says), (Write(entry),), says)


def _standard_word(task: Task, state: State, heard: Heard, word: StandardWord) -> Advance:
    here = _step_id(task, state)
    match word:
        case StandardWord.AFFIRM if state.phase is Phase.DEFERRING:
            return _leave(task, state, DEFERRED, heard, ())
        case StandardWord.AFFIRM:
            return _value_confirmed(task, state, heard)
        case StandardWord.NEGATIVE | StandardWord.GO_AHEAD if state.phase is Phase.DEFERRING:
            return _begin_step(task, state, (WentOn(here),), (wording.going_on(),))
        case StandardWord.NEGATIVE | StandardWord.CORRECTION | StandardWord.DISREGARD:
            state = _without_value(state)
            says = wording.withdrawn(task.steps[state.step].expect)
            return _reply(replace(state, said=says), (Write(Withdrawn(here)),), says)
        case StandardWord.SAY_AGAIN:
            return _reply(state, (), state.said)
        case StandardWord.WORDS_TWICE:
            return _reply(state, (), wording.words_twice(state.said))
        case StandardWord.READ_BACK:
            return _reply(state, (), state.value_said)
        case StandardWord.HOW_DO_YOU_READ:
            return _reply(state, (), (wording.readability(heard.score),))
        case StandardWord.STAND_BY:
            return _stand_by(task, state, (), word.value, wording.standing_by())
        case StandardWord.UNABLE if (deferral := task.steps[state.step].deferral) is not None:
            says = wording.may_defer(state.step + 1, deferral.authority)
            state = replace(_without_value(state), phase=Phase.DEFERRING, said=says)
            state = replace(state, value_said=says)  # no doubtful hearing parts it from "affirm"
            return _reply(state, (Write(StoodBy(here, word.value)),), says)
        case StandardWord.UNABLE:
            return _stand_by(task, state, (), word.value, wording.unable(state.step + 1))
    raise AssertionError(f"{word} is acted on in {state.phase} but has no rule")


def _value_confirmed(task: Task, state: State, heard: Heard) -> Advance:
    if isinstance(state.pending, str) and not needs_affirm(task.steps[state.step].expect):
        heard = replace(heard, words=tuple(state.pending.split()))  # the phrase that was affirmed
    return _leave(task, state, state.outcome, heard, ())


def _no_use(task: Task, state: State, heard: Heard) -> Advance:
    not_heeded = _not_heeded(task, state, heard, NotActedOn.NOT_EXPECTED)
    words = " ".join(heard.words)
    expected = task.steps[state.step].expect
    confirming = state.phase is Phase.CONFIRMING
    if confirming and needs_affirm(expected):
        return _reply(state, (not_heeded,), wording.confirm_or_correct(words))
    if state.phase is Phase.DEFERRING:
        return _reply(state, (not_heeded,), wording.defer_or_go_ahead(words))
    says = wording.no_use(words, wording.expected_answer(expected))
    if confirming:
        # Whatever was said in place of "affirm", the phrase that was read back is in doubt now.
        withdrawn = Write(Withdrawn(_step_id(task, state)))
        return _reply(_without_value(state), (not_heeded, withdrawn), says)
    return _reply(state, (not_heeded,), says)


def _stand_by(
    task: Task, state: State, writes: tuple[Write, ...], reason: str, says: tuple[Say, ...]
) -> Advance:
    stood_by = Write(StoodBy(_step_id(task, state), reason))
    # A value that waited for "affirm" may have changed by the time that work goes on.
    state = replace(_without_value(state), phase=Phase.STANDING_BY, doubts=0)
    return _reply(state, (*writes, stood_by), says)


def _without_value(state: State) -> State:
    return replace(state, phase=Phase.ANSWERING, pending=None, outcome="", value_said=())


def _leave(
    task: Task, state: State, outcome: str, heard: Heard | None, writes: tuple[Write, ...]
) -> Advance:
    """Leave the step by `outcome`; `heard` is what was said to that, None where it is only said."""
    step, words = task.steps[state.step], " ".join(heard.words) if heard else ""
    way = way_out(step, outcome)
    if way is None:
        raise AssertionError(f"step {step.id} has no way out by '{outcome}'")
    left, echo = _left(state, step, way, words)
    pending = state.pending if isinstance(state.pending, Decimal) else None
    identity = state.pending if isinstance(step.expect, IdentityExpected | DateExpected) else None
    identified = identity if isinstance(identity, str) and way.done else None
    rested_on = heard is not None and way.done and step.id in dict(state.answered)
    state = replace(
        _without_value(state).at(move(task, state.position, way)),
        readings=_anew(state.readings, step, pending if way.outcome == INSIDE else None),
        identified=_anew(state.identified, step, identified),
        seen=seen_after(state.seen, step, way),
        done_at=_anew(state.done_at, step, heard.ended if heard and rested_on else None),
        findings=_anew(state.findings, step, None if way.done else way.outcome),
    )
    return _go_on(task, state, (*writes, Write(left)), echo)


def _go_on(task: Task, state: State, writes: tuple[Write, ...], before: tuple[Say, ...]) -> Advance:
    """Begin the step where the run stands now, or end the task."""
    if state.step < len(task.steps):
        begun, effects = _begin_step(task, state, (), before)
        return begun, (*writes, *effects)
    states, counts = dict(state.states), dict(state.counts)
    says = (*before, *wording.ending(task, states, counts, dict(state.findings)))
    state = replace(state, phase=Phase.FINISHED, said=says)
    ended = TaskEnded(state.states, state.counts, state.findings)
    return _reply(state, (*writes, Write(ended)), says)


def _left(state: State, step: Step, way: Way, words: str) -> tuple[Entry, tuple[Say, ...]]:
    """What is written of leaving the step, and what is said to it."""
    sets = tuple(way.sets.items())
    if way.outcome == DEFERRED and step.deferral is not None:
        entry = StepDeferred(step.id, step.deferral.authority, words, sets)
        return entry, (wording.deferred(state.step + 1),)
    if way.outcome == LATE:
        return StepLeft(step.id, way.outcome, words, sets), (wording.late(state.step + 1),)
    # A value has been read back before it was affirmed; a phrase is read back now.
    echo = () if step.expect is None or needs_affirm(step.expect) else (wording.confirmed(words),)
    if way.done:
        return StepConfirmed(step.id, words, sets, tuple(way.counts.items())), echo
    return StepLeft(step.id, way.outcome, words, sets), echo


def _anew(
    found: tuple[tuple[str, _Found], ...], step: Step, value: _Found | None
) -> tuple[tuple[str, _Found], ...]:
    """What was found, by step, with `value` for this one; what it found before is gone."""
    others = tuple(each for each in found if each[0] != step.id)
    return others if value is None else (*others, (step.id, value))


def _begin_step(
    task: Task, state: State, entries: tuple[Entry, ...], before: tuple[Say, ...]
) -> Advance:
    step = task.steps[state.step]
    says = wording.step(state.step + 1, step)
    state = replace(state, phase=Phase.ANSWERING, said=says)
    writes = tuple(Write(entry) for entry in (*entries, StepBegun(step.id)))
    return _reply(state, writes, (*before, *says))


def _reply(state: State, writes: tuple[Write, ...], says: tuple[Say, ...]) -> Advance:
    return replace(state, speaking=True), (*writes, *says)


def _not_heeded(task: Task, state: State, heard: Heard, reason: NotActedOn) -> Write:
    return Write(NotHeeded(_step_id(task, state), heard.words, reason))


def _step_id(task: Task, state: State) -> str:
    return task.steps[state.step].id
