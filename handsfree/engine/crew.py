"""Who works: the roster, who has which role now, and who may not have it.

The date is counted on from the last event that brought one: the core reads no clock. What each
rule answers stands in a table in DEVELOPERS.md.
"""

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from handsfree.task.model import Task
from handsfree.task.roles import Role, role_of
from handsfree.task.roster import Person
from handsfree.task.step import Step
from handsfree.words.dates import written_out
from handsfree.words.heard import Heard


@dataclass(frozen=True, slots=True)
class Crew:
    """The people of a run."""

    roster: tuple[Person, ...] = ()  # empty: nobody is identified
    present: tuple[tuple[Role, str], ...] = ()  # staff numbers
    missing: tuple[Role, ...] = ()  # to be identified before work goes on, in this order
    # By step id, the staff numbers of all who did or stated anything of it, in any attempt. Nobody
    # is taken off again: who did a step that was undone has still had a hand in it.
    took_part: tuple[tuple[str, str], ...] = ()
    clock: datetime | None = None  # the time of day at the running time `at`
    at: timedelta = timedelta(0)

    def number_of(self, role: Role) -> str | None:
        """The staff number of whoever has `role`; None: nobody that is known."""
        return dict(self.present).get(role)

    def person(self, staff_number: str) -> Person | None:
        """Whose staff number it is."""
        return next((each for each in self.roster if each.staff_number == staff_number), None)

    def today(self, now: timedelta) -> date | None:
        """The day at the running time `now`, UTC; None where no event has told the time of day."""
        return None if self.clock is None else (self.clock + now - self.at).date()

    def with_person(self, role: Role, staff_number: str) -> "Crew":
        """Somebody has taken `role`."""
        others = tuple(each for each in self.present if each[0] is not role)
        return replace(self, present=(*others, (role, staff_number)))

    def with_part_of(self, step: str, role: Role) -> "Crew":
        """Whoever has `role` did or stated something of `step`."""
        part = (step, self.number_of(role))
        if part[1] is None or part in self.took_part:
            return self
        return replace(self, took_part=(*self.took_part, (step, part[1])))

    def who_took_part_in(self, step: str) -> tuple[str, ...]:
        """The staff numbers of all who did or stated anything of `step`."""
        return tuple(number for at, number in self.took_part if at == step)

    def asked_anew(self, task: Task) -> "Crew":
        """Nobody is known any more to be who is here; with a roster, all are asked."""
        return replace(self, present=(), missing=needed(task) if self.roster else ())


def needed(task: Task) -> tuple[Role, ...]:
    """Who must be identified before the first step."""
    second = any(step.read_back or step.by is Role.SECOND_PERSON for step in task.steps)
    return (Role.TECHNICIAN, *(Role.SECOND_PERSON,) * second)


def speaker(step: Step, heard: Heard) -> Role:
    """Whose word it was, as far as headset and task tell."""
    return role_of(heard.channel) or step.by or Role.TECHNICIAN


def not_the_doer(step: Step, crew: Crew, heard: Heard, *, states_value: bool) -> Role | None:
    """Whose word the step needs, where the headset shows that somebody else spoke; else None.

    Without a headset, or where neither task nor roster says who is who, nobody can be told apart.
    A value may be read out by the second person unless the task says by whom: it is affirmed by
    the technician. An inspector has no part in the work that they are to inspect.
    """
    doer = step.by or (Role.TECHNICIAN if crew.roster else None)
    if doer is None or heard.channel in (None, doer.channel):
        return None
    if states_value and step.by is None and heard.channel == Role.SECOND_PERSON.channel:
        return None
    return doer


NOT_ON_THE_ROSTER = "It is not on the roster."


def objection(
    person: Person, role: Role, today: date | None, not_by: tuple[str, ...]
) -> str | None:
    """Why this person may not have `role` now, as a sentence; None: nothing speaks against it.

    `not_by` are the staff numbers of those from whom this person must be independent.
    """
    until = person.authorised_until(role)
    if until is None:
        return f"{person.name} is not authorised as {role.value}."
    if today is None:
        return "What day it is has not been told, so no authorisation can be checked."
    if until < today:
        return (
            f"The authorisation of {person.name} as {role.value} expired on {written_out(until)}."
        )
    if person.staff_number in not_by:
        return f"{person.name} has another part in this and cannot be the {role.value} too."
    return None
