"""Entries about who is here, and who has looked at the work."""

from dataclasses import dataclass

from handsfree.engine.findings import Finding
from handsfree.task.roles import Role


@dataclass(frozen=True, slots=True)
class PersonIdentified:
    """Somebody said their staff number, affirmed it, and may have this role."""

    role: Role
    staff_number: str
    name: str


@dataclass(frozen=True, slots=True)
class PersonRefused:
    """Somebody said a staff number and may not have this role."""

    role: Role
    staff_number: str  # as said
    reason: str


@dataclass(frozen=True, slots=True)
class HandedOver:
    """One person's part is over; this is where it leaves the task."""

    step: str  # the first that is not done
    by: str | None
    done: tuple[str, ...]
    not_done: tuple[str, ...]  # steps left undone, by id
    states: tuple[tuple[str, str], ...]
    counts: tuple[tuple[str, int], ...]
    open_findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class InspectionCalled:
    """The work of the step is done, and waits for an inspector."""

    step: str
    by: str | None


@dataclass(frozen=True, slots=True)
class InspectionPassed:
    """The inspector has looked at the step, and it is as it must be."""

    step: str
    by: str


@dataclass(frozen=True, slots=True)
class InspectionRejected:
    """The inspector has looked at the step, and it must be done again. A remark follows."""

    step: str
    by: str


PeopleEntry = (
    PersonIdentified
    | PersonRefused
    | HandedOver
    | InspectionCalled
    | InspectionPassed
    | InspectionRejected
)
