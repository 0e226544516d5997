"""Who is here: each says their staff number, it is read back, and they affirm it."""

from dataclasses import replace

from handsfree.engine import wording
from handsfree.engine.crew import NOT_ON_THE_ROSTER, objection
from handsfree.engine.entries import FindingClosed, NotActedOn, PersonIdentified, PersonRefused
from handsfree.engine.findings import Finding
from handsfree.engine.interrupting import stand_by
from handsfree.engine.proceeding import identify, proceed
from handsfree.engine.remarks import free_text, remark
from handsfree.engine.replies import Advance, ask, not_heeded, reply, step_of
from handsfree.engine.state import State
from handsfree.engine.waiting import Identifying, IdentityHeard, WhatWasDone
from handsfree.task.model import Task
from handsfree.task.roles import Role
from handsfree.task.roster import Person
from handsfree.words.heard import Heard
from handsfree.words.meanings import Identified, Meaning, Spoke
from handsfree.words.standard import StandardWord

CLOSED = "closed"  # what a remark is about, by which a finding is closed


def staff_number_said(task: Task, state: State, heard: Heard, said: Identified) -> Advance:
    """Read it back to be affirmed, or say why this person may not have the role."""
    asked = _asked(state)
    person = state.crew.person(said.characters)
    role = asked.role if person is None else _role(asked, person)
    if heard.channel is not None and role.channel not in (None, heard.channel):
        entry = not_heeded(task, state, heard, NotActedOn.ANOTHER_PERSON)
        return reply(state, (entry,), wording.people.another_channel(role))
    state = replace(state, waits_for=asked)
    if person is None:
        return _refused(state, said, role, NOT_ON_THE_ROSTER)
    today, not_by = state.crew.today(state.now), _not_by(task, state, asked, role)
    why = objection(person, role, today, not_by)
    if why is not None:
        return _refused(state, said, role, why)
    to_close = _to_close(state, asked)
    says = (
        *(() if to_close is None else (wording.findings.finding_to_close(task, to_close),)),
        *wording.people.staff_number(said.characters, person.name, role),
    )
    return ask(replace(state, waits_for=IdentityHeard(asked, person, role, says)), (), says)


def _refused(state: State, said: Identified, role: Role, why: str) -> Advance:
    says = wording.people.person_refused(said.characters, why, role)
    return ask(state, (PersonRefused(role, said.characters, why),), says)


def _asked(state: State) -> Identifying:
    match state.waits_for:
        case Identifying() as asked:
            return asked
        case IdentityHeard(asked=asked):
            return asked
    raise AssertionError("nobody is asked for a staff number")


def _to_close(state: State, asked: Identifying) -> Finding | None:
    return None if asked.closing is None else state.findings.numbered(asked.closing)


def _role(asked: Identifying, person: Person) -> Role:
    """The role that is asked for. A finding may be closed by a supervisor as well."""
    if asked.closing is None:
        return asked.role
    may = (role for role in _MAY_CLOSE if person.authorised_until(role) is not None)
    return next(may, asked.role)


_MAY_CLOSE = (Role.SECOND_PERSON, Role.SUPERVISOR)


def _not_by(task: Task, state: State, asked: Identifying, role: Role) -> tuple[str, ...]:
    """From whom the person in `role` must be independent."""
    crew, others = state.crew, [Role.TECHNICIAN, Role.SECOND_PERSON]
    if role is Role.INSPECTOR and not step_of(task, state).read_back:
        others.remove(Role.SECOND_PERSON)  # is there, but need not have taken part in this step
    numbers = [crew.number_of(each) for each in others if each is not role]
    if role is Role.INSPECTOR:
        numbers += crew.who_took_part_in(step_of(task, state).id)
    if state.this_step.uninspected is not None:
        numbers.append(state.this_step.uninspected.by)
    to_close = _to_close(state, asked)
    if to_close is not None:
        numbers.append(to_close.by)
    return tuple(each for each in numbers if each is not None)


def affirmed(task: Task, state: State, heard: Heard, waits: IdentityHeard) -> Advance:
    """The staff number is right: the role is taken, or the finding is closed.

    Nobody affirms for somebody else who they are.
    """
    person, role, closing = waits.person, waits.role, waits.asked.closing
    if heard.channel is not None and role.channel not in (None, heard.channel):
        refused = not_heeded(task, state, heard, NotActedOn.ANOTHER_PERSON)
        return reply(state, (refused,), wording.people.another_channel(role))
    number = person.staff_number
    entry = PersonIdentified(role, number, person.name)
    if closing is not None:
        asks = WhatWasDone(closing, number, person.name)
        state = replace(state.without_doubt(), waits_for=asks)
        return ask(state, (entry,), wording.findings.what_was_done(closing))
    crew = replace(state.crew, missing=state.crew.missing[1:])
    state = replace(state, crew=crew.with_person(role, number))
    return proceed(task, state, (entry,), (wording.people.welcome(person.name, role),))


def stays_open(task: Task, state: State, heard: Heard, meaning: Meaning) -> Advance | None:
    """What follows from a standard word by itself: it tells of nothing that was done; else None."""
    if not isinstance(meaning, Spoke) or len(free_text(heard).split()) > len(heard.words):
        return None
    match meaning.word:
        case StandardWord.STAND_BY:
            says = wording.interruptions.standing_by()
            return stand_by(task, state, (), meaning.word.value, says)
        case StandardWord.DISREGARD | StandardWord.NEGATIVE | StandardWord.CORRECTION:
            return proceed(task, state, (), (wording.interruptions.stays(),))
    entry = not_heeded(task, state, heard, NotActedOn.NOT_EXPECTED)
    return reply(state, (entry,), state.exchange.said)


def closed(task: Task, state: State, heard: Heard, waits: WhatWasDone) -> Advance:
    """What was done about the finding has been said: it is closed."""
    entries = (
        *remark(task, state, CLOSED, heard, waits.finding),
        FindingClosed(waits.finding, waits.by, waits.name),
    )
    state = replace(state, findings=state.findings.without(waits.finding))
    return proceed(
        task, state, entries, (wording.findings.finding_closed(waits.finding, waits.name),)
    )


def taken_back(task: Task, state: State) -> Advance:
    """The staff number was not right; or the finding is not to be closed after all."""
    match state.waits_for:
        case Identifying(closing=int()):
            return proceed(task, state, (), (wording.interruptions.stays(),))
        case IdentityHeard(asked=Identifying(closing=int()) as asked):
            return identify(state, asked)
    return proceed(task, state)


def close_finding(state: State, number: int) -> Advance:
    """A second person, who did not raise it, must say who they are."""
    if state.findings.numbered(number) is None or not state.crew.roster:
        return reply(state, (), wording.findings.cannot_close(number, state.crew))
    return identify(state, Identifying(Role.SECOND_PERSON, closing=number))
