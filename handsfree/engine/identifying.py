"""Who is here: each says their staff number, it is read back, and they affirm it."""

from dataclasses import replace

from handsfree.engine import wording_people
from handsfree.engine.crew import objection
from handsfree.engine.entries import FindingClosed, NotActedOn, PersonIdentified, PersonRefused
from handsfree.engine.proceeding import proceed
from handsfree.engine.replies import Advance, ask, not_heeded, reply, step_of
from handsfree.engine.state import Phase, State
from handsfree.task.model import Task
from handsfree.task.roles import Role
from handsfree.words.heard import Heard
from handsfree.words.meanings import Identified


def staff_number_said(task: Task, state: State, heard: Heard, said: Identified) -> Advance:
    """Read it back to be affirmed, or say why this person may not have the role."""
    crew, role = state.crew, _role(state, said.characters)
    if heard.channel is not None and role.channel not in (None, heard.channel):
        entry = not_heeded(task, state, heard, NotActedOn.ANOTHER_PERSON)
        return reply(state, (entry,), wording_people.another_channel(role))
    state = replace(state, phase=Phase.IDENTIFYING, pending=None, value_said=())
    why = objection(crew, role, said.characters, state.now, _not_by(task, state, role))
    if why is not None:
        refused = PersonRefused(role, said.characters, why)
        says = wording_people.person_refused(said.characters, why, role)
        return ask(state, (refused,), says)
    person = crew.person(said.characters)
    assert person is not None
    to_close = (each for each in state.open_findings if each.number == state.about)
    says = (
        *(wording_people.finding_to_close(task, each) for each in to_close),
        *wording_people.staff_number(said.characters, person.name, role),
    )
    state = replace(state, phase=Phase.IDENTITY_HEARD, pending=said.characters, value_said=says)
    return ask(state, (), says)


def _role(state: State, staff_number: str) -> Role:
    """The role that is asked for. A finding may be closed by a supervisor as well."""
    person = state.crew.person(staff_number)
    if state.about is not None and person is not None:
        may = [role for role in _MAY_CLOSE if person.authorised_until(role) is not None]
        return may[0] if may else state.crew.missing[0]
    return state.crew.missing[0]


_MAY_CLOSE = (Role.SECOND_PERSON, Role.SUPERVISOR)


def _not_by(task: Task, state: State, role: Role) -> tuple[str, ...]:
    """From whom the person in `role` must be independent."""
    crew, others = state.crew, [Role.TECHNICIAN, Role.SECOND_PERSON]
    if role is Role.INSPECTOR and not step_of(task, state).read_back:
        others.remove(Role.SECOND_PERSON)  # took no part in this step
    numbers = [crew.number_of(each) for each in others if each is not role]
    if state.held is not None:
        numbers.append(state.held.by)
    if state.about is not None:
        numbers += [each.by for each in state.open_findings if each.number == state.about]
    return tuple(each for each in numbers if each is not None)


def affirmed(task: Task, state: State) -> Advance:
    """The staff number is right: the role is taken."""
    number = state.pending
    assert isinstance(number, str)
    role = _role(state, number)
    person = state.crew.person(number)
    assert person is not None
    entry = PersonIdentified(role, number, person.name)
    crew = replace(state.crew, missing=state.crew.missing[1:])
    if state.about is not None:
        closed = FindingClosed(state.about, number, person.name)
        findings = tuple(each for each in state.open_findings if each.number != state.about)
        before = (wording_people.finding_closed(state.about, person.name),)
        state = replace(state, crew=crew, about=None, open_findings=findings)
        return proceed(task, state, (entry, closed), before)
    state = replace(state, crew=crew.with_person(role, number))
    return proceed(task, state, (entry,), (wording_people.welcome(person.name, role),))


def taken_back(task: Task, state: State) -> Advance:
    """The staff number was not right; or the finding is not to be closed after all."""
    if state.phase is Phase.IDENTIFYING and state.about is not None:
        return proceed(task, without_closing(state), (), (wording_people.stays(),))
    return proceed(task, state)


def close_finding(task: Task, state: State, number: int) -> Advance:
    """A second person, who did not raise it, must say who they are."""
    known = any(each.number == number for each in state.open_findings)
    if not (known and state.crew.roster):
        return reply(state, (), wording_people.cannot_close(number, state.crew))
    crew = replace(state.crew, missing=(Role.SECOND_PERSON,))
    return proceed(task, replace(state, crew=crew, about=number))


def without_closing(state: State) -> State:
    """The same with no finding being closed; nobody is waited for who was only to close it."""
    if state.about is None:
        return state
    return replace(state, about=None, crew=replace(state.crew, missing=()))
