"""The people who may do the work, and until when: a roster file (YAML)."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Annotated

from pydantic import Field, ValidationError

from handsfree.errors import HandsfreeError
from handsfree.task.file_model import FileModel, IsoDate, Text
from handsfree.task.invalid import problems_of
from handsfree.task.model import Task
from handsfree.task.problems import Problem, TaskFileError
from handsfree.task.roles import Role
from handsfree.task.source import Source, read_source


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody on the roster."""

    name: str
    staff_number: str  # capital letters and figures as they are spoken, without hyphens
    authorised: tuple[tuple[Role, date], ...]  # the last day of each role

    def authorised_until(self, role: Role) -> date | None:
        """The last day on which this person may have `role`; None: never."""
        return dict(self.authorised).get(role)


class RosterFileError(TaskFileError):
    """A roster that must be mended before anyone works by it. Holds every problem found."""


class RosterNeeded(HandsfreeError):
    """A task has an inspection hold, and without a roster nobody can tell who inspects."""

    exit_code = 2

    def __init__(self, task: str, steps: Iterable[str]) -> None:
        super().__init__(
            f"{task}: an inspector who is not the technician must look at {', '.join(steps)}, and "
            "without a roster nobody can be told apart. Name one with --roster FILE."
        )


def refuse_without_roster(task: Task, people: tuple[Person, ...]) -> None:
    """Raise RosterNeeded where an inspector must be told from the technician, and nobody can be."""
    inspected = [step.id for step in task.steps if step.inspection]
    if inspected and not people:
        raise RosterNeeded(task.task, inspected)


class _PersonEntry(FileModel):
    name: Text
    staff_number: Annotated[str, Field(pattern=r"^[A-Z0-9]+(-[A-Z0-9]+)*$")]
    authorised: Annotated[dict[Role, IsoDate], Field(min_length=1)]


class _Roster(FileModel):
    people: Annotated[tuple[_PersonEntry, ...], Field(min_length=1)]


def read_roster(text: str, name: str) -> tuple[Person, ...]:
    """The people of a roster file; `name` is how errors call it. Raises RosterFileError."""
    try:
        source = read_source(text, name, "a roster")
        roster = _Roster.model_validate(source.value)
    except ValidationError as error:
        raise RosterFileError(name, problems_of(error, source)) from error
    except TaskFileError as error:
        raise RosterFileError(name, error.problems) from error
    people = tuple(
        Person(each.name, each.staff_number.replace("-", ""), tuple(each.authorised.items()))
        for each in roster.people
    )
    twice = _used_twice(people, source)
    if twice:
        raise RosterFileError(name, twice)
    return people


def _used_twice(people: tuple[Person, ...], source: Source) -> list[Problem]:
    """Staff numbers that are the same once they are spoken: hyphens are not."""
    first: dict[str, str] = {}
    problems = []
    for at, person in enumerate(people):
        if person.staff_number in first:
            problems.append(
                source.problem(
                    ("people", at, "staff_number"),
                    f"the staff number of {person.name} is spoken like that of "
                    f"{first[person.staff_number]}",
                    "Give each person their own",
                )
            )
        first.setdefault(person.staff_number, person.name)
    return problems
