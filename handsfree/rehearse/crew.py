"""The scripted crew: what people who do their work well say at each moment of a task.

They state values that lead where the script has it, state again what was not heard, deny what was
heard wrong, and affirm only what they said. Nobody is like that always; what people let pass is in
the costs of `engine/trust.py`.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from random import Random

from handsfree.engine.evidence import agrees
from handsfree.engine.phase import Phase
from handsfree.engine.phrases_now import phrases_now
from handsfree.engine.state import State
from handsfree.engine.waiting import Confirming, Identifying, IdentityHeard
from handsfree.rehearse.answers import (
    NothingToSay,
    date_for,
    date_in_words,
    identity_for,
    identity_in_words,
    reading_in_words,
    value_for,
)
from handsfree.task.course import ABOVE, BELOW, DEFERRED, DONE, INSIDE, LATE, REJECTED
from handsfree.task.expectations import (
    ChoiceExpected,
    ConfirmExpected,
    DateExpected,
    IdentityExpected,
    ReadingExpected,
)
from handsfree.task.model import Task
from handsfree.task.roles import Role
from handsfree.task.roster import Person
from handsfree.task.step import Step
from handsfree.words.alphabet import speak_characters
from handsfree.words.meanings import Understood
from handsfree.words.plain import INSPECTED
from handsfree.words.plain import REJECTED as SAID_REJECTED

Script = Mapping[str, str]
"""By step, the outcome that it has the first time; else the usual one."""

_STAFF = {
    Role.TECHNICIAN: "R417",
    Role.SECOND_PERSON: "R608",
    Role.INSPECTOR: "R744",
    Role.SUPERVISOR: "R230",
}
_ALWAYS = date(2099, 12, 31)
_A_MOMENT = timedelta(seconds=5)
_REMARK = "the lamp does not come on"
_NAME = "anna berg"
_AFFIRM = "affirm"
# Whose "affirm" is not heard is asked by this word, and people say back what they are asked by.
_AFFIRMATIVE = re.compile(r"\baffirmative\b", re.IGNORECASE)
_REFERENCE = "mike charlie four two"


@dataclass(frozen=True, slots=True)
class Line:
    """What somebody says next."""

    words: str
    role: Role = Role.TECHNICIAN
    after: timedelta = timedelta(0)  # the running time before which it is not said
    answers: bool = False  # it is the answer to the step, and not what surrounds it

    @property
    def channel(self) -> int | None:
        """Of the headset that hears it."""
        return self.role.channel


def roster_for(task: Task) -> tuple[Person, ...]:
    """People of our own where the task needs a roster; else nobody is identified."""
    if not any(step.inspection for step in task.steps):
        return ()
    return tuple(
        Person(f"Crew {number}", number, ((role, _ALWAYS),)) for role, number in _STAFF.items()
    )


def usual_outcome(step: Step) -> str:
    """How a step is left where nothing goes wrong."""
    match step.expect:
        case ReadingExpected():
            return INSIDE
        case ChoiceExpected(choose=phrases, required=required):
            return required or phrases[0]
    return DONE


def next_line(
    task: Task, state: State, script: Script, seed: str, told: tuple[str, ...] = ()
) -> Line:
    """What is said now, where the tool has just `told` them so much.

    Raises NothingToSay where nothing leads to what the script wants.
    """
    line = _meant(task, state, script, seed)
    if line.words == _AFFIRM and any(_AFFIRMATIVE.search(each) for each in told):
        return replace(line, words="affirmative")
    offer = state.exchange.doubt.offer
    if offer is not None:
        parsed = phrases_now(task, state).parse(line.words.split())
        if not (isinstance(parsed, Understood) and agrees(parsed.meaning, offer.wording.meaning)):
            return Line("negative", line.role)
    return line


def _meant(task: Task, state: State, script: Script, seed: str) -> Line:
    match state.waits_for:
        case Identifying(role=role):
            return Line(speak_characters(_STAFF[role]).lower(), role)
        case IdentityHeard(asked=asked, person=person):
            right = person.staff_number == _STAFF[asked.role]
            return Line(_AFFIRM if right else "negative", asked.role)
    match state.phase:
        case Phase.CHECKING_STATES | Phase.GOING_BACK | Phase.DEFERRING | Phase.DEFERRAL_HEARD:
            return Line(_AFFIRM)
        case Phase.STANDING_BY:
            return Line("go ahead")
        case Phase.CATEGORISING:
            return Line("other")
        case Phase.REFERENCING:
            return Line(_REFERENCE)
    step = task.steps[min(state.step, len(task.steps) - 1)]
    outcome = _wanted(state, step, script)
    match state.phase:
        case Phase.INSPECTING:
            rejects = outcome == REJECTED
            return Line(SAID_REJECTED if rejects else INSPECTED, Role.INSPECTOR)
        case Phase.REMARKING:
            return Line(_NAME if outcome == DEFERRED and state.findings.open else _REMARK)
        case Phase.CONFIRMING:
            return _affirmed_or_denied(task, state, step, outcome, seed)
    if outcome == DEFERRED and state.phase is Phase.ANSWERING:
        return Line("unable")
    role = Role.SECOND_PERSON if state.phase is Phase.SECOND else step.by or Role.TECHNICIAN
    return Line(_answer(task, state, step, outcome, seed), role, _due(state, step, outcome), True)


def _wanted(state: State, step: Step, script: Script) -> str:
    """The outcome that the script has for the first time that the run is at this step."""
    visits = sum(each.position.step == state.step for each in state.past)
    usual = usual_outcome(step)
    return script.get(step.id, usual) if visits <= 1 else usual


def _due(state: State, step: Step, outcome: str) -> timedelta:
    if step.wait is None:
        return timedelta(0)
    since = dict(state.progress.done_at).get(step.wait.since, state.now)
    if outcome == LATE and step.wait.at_most is not None:
        return since + step.wait.at_most + _A_MOMENT
    return since + (step.wait.at_least or timedelta(0)) + _A_MOMENT


def _affirmed_or_denied(task: Task, state: State, step: Step, outcome: str, seed: str) -> Line:
    assert isinstance(state.waits_for, Confirming)
    said = _said(task, state, step, outcome, seed)
    doer = step.by or Role.TECHNICIAN
    return Line(_AFFIRM if state.waits_for.value in said else "negative", doer)


def _said(
    task: Task, state: State, step: Step, outcome: str, seed: str
) -> tuple[Decimal | str, ...]:
    """What the person meant, as the engine keeps it while it waits for "affirm"."""
    match step.expect:
        case ReadingExpected() as expected:
            return (_value(state, step, expected, outcome, seed),)
        case IdentityExpected() as expected:
            return (identity_for(task, expected, dict(state.progress.identified)),)
        case DateExpected() as expected:
            return (date_for(task, expected, outcome),)
    return (_answer(task, state, step, outcome, seed),)


def _answer(task: Task, state: State, step: Step, outcome: str, seed: str) -> str:
    match step.expect:
        case ConfirmExpected(confirm=phrase):
            return phrase
        case ChoiceExpected(choose=phrases):
            return outcome if outcome in phrases else usual_outcome(step)
        case ReadingExpected() as expected:
            return reading_in_words(expected, _value(state, step, expected, outcome, seed))
        case IdentityExpected() as expected:
            known = dict(state.progress.identified)
            return identity_in_words(identity_for(task, expected, known))
        case DateExpected() as expected:
            return date_in_words(date_for(task, expected, outcome))
    raise NothingToSay(f"step {step.id} expects nothing")


def _value(state: State, step: Step, expected: ReadingExpected, outcome: str, seed: str) -> Decimal:
    wanted = outcome if outcome in (BELOW, ABOVE) else INSIDE
    # The same each time that it is said again.
    draw = Random(f"{seed}:{step.id}:{wanted}")
    return value_for(expected, dict(state.readings), wanted, draw)
