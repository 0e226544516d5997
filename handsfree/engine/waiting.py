"""What a run waits for, each with all that it needs to act on the answer.

So a run cannot wait for "affirm" without the value that is to be affirmed, or for a second person
without the value of the first one; and nothing of that is left once it waits for something else.
"""

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import ClassVar

from handsfree.engine.effects import Say
from handsfree.engine.phase import Phase
from handsfree.task.course import Way
from handsfree.task.roles import Role
from handsfree.task.roster import Person
from handsfree.words.heard import Heard
from handsfree.words.meanings import Identified, Stated


@dataclass(frozen=True, slots=True)
class Uninspected:
    """The work of a step that is done, and that waits for an inspector."""

    way: Way  # how the step is left once it has passed
    value: Decimal | str | None  # that was affirmed; None: the step has none
    heard: Heard
    by: str | None  # the staff number of the technician


@dataclass(frozen=True, slots=True)
class Ready:
    """For somebody to start the task."""

    phase: ClassVar = Phase.READY


@dataclass(frozen=True, slots=True)
class Answering:
    """For what the step expects."""

    phase: ClassVar = Phase.ANSWERING
    refusal: tuple[Say, ...] = ()  # what was said to a value that could not be taken


@dataclass(frozen=True, slots=True)
class Confirming:
    """For "affirm" of a value or a phrase that was read back."""

    phase: ClassVar = Phase.CONFIRMING
    value: Decimal | str
    outcome: str  # how "affirm" leaves the step, see `task.course`
    read_back: tuple[Say, ...]


@dataclass(frozen=True, slots=True)
class Outside:
    """For a better value: the last one was refused."""

    phase: ClassVar = Phase.OUTSIDE
    read_back: tuple[Say, ...]


@dataclass(frozen=True, slots=True)
class AwaitingSecond:
    """For the second person to state the value that the technician has stated."""

    phase: ClassVar = Phase.SECOND
    first: Stated | Identified  # not said aloud before the second person has spoken


@dataclass(frozen=True, slots=True)
class Identifying:
    """For the staff number of whoever has a role, or of whoever closes a finding."""

    phase: ClassVar = Phase.IDENTIFYING
    role: Role
    closing: int | None = None  # the number of the finding


@dataclass(frozen=True, slots=True)
class IdentityHeard:
    """For "affirm" of a staff number that was read back."""

    phase: ClassVar = Phase.IDENTITY_HEARD
    asked: Identifying  # what the staff number answers
    person: Person
    role: Role  # the one that was asked for, or another one that may close the finding
    read_back: tuple[Say, ...]


@dataclass(frozen=True, slots=True)
class Inspecting:
    """For "inspected" or "rejected"."""

    phase: ClassVar = Phase.INSPECTING
    work: Uninspected
    by: str  # the staff number of the inspector


@dataclass(frozen=True, slots=True)
class WhyUnable:
    """For the remark why the step cannot be done, which belongs to a finding."""

    phase: ClassVar = Phase.REMARKING
    finding: int
    since: timedelta  # when the technician said that the step cannot be done


@dataclass(frozen=True, slots=True)
class WhyRejected:
    """For the remark why the inspector has rejected the step."""

    phase: ClassVar = Phase.REMARKING


@dataclass(frozen=True, slots=True)
class WhatWasDone:
    """For the remark what was done about a finding, from whoever closes it."""

    phase: ClassVar = Phase.REMARKING
    finding: int
    by: str  # a staff number
    name: str


@dataclass(frozen=True, slots=True)
class Categorising:
    """For the category of a finding."""

    phase: ClassVar = Phase.CATEGORISING
    finding: int
    since: timedelta  # since when the step waits


@dataclass(frozen=True, slots=True)
class Deferring:
    """For "affirm" that somebody who may has deferred the step, or "go ahead"."""

    phase: ClassVar = Phase.DEFERRING
    since: timedelta  # since when the step waits
    question: tuple[Say, ...]


@dataclass(frozen=True, slots=True)
class WhoDeferred:
    """For the name of who has deferred the step, in any words."""

    phase: ClassVar = Phase.REMARKING
    since: timedelta  # since when the step waits


@dataclass(frozen=True, slots=True)
class Referencing:
    """For the reference under which they did, letter by letter."""

    phase: ClassVar = Phase.REFERENCING
    since: timedelta
    name: str  # as a listener wrote it down


@dataclass(frozen=True, slots=True)
class DeferralHeard:
    """For "affirm" of both, which were read back."""

    phase: ClassVar = Phase.DEFERRAL_HEARD
    since: timedelta
    name: str
    reference: str
    read_back: tuple[Say, ...]


@dataclass(frozen=True, slots=True)
class CheckingState:
    """For "affirm" that a state is as it is recorded."""

    phase: ClassVar = Phase.CHECKING_STATES
    name: str


@dataclass(frozen=True, slots=True)
class GoingBack:
    """For "affirm" that steps are undone and their states put back."""

    phase: ClassVar = Phase.GOING_BACK
    to: int  # index into `State.past`
    question: tuple[Say, ...]


@dataclass(frozen=True, slots=True)
class StandingBy:
    """For "go ahead", and nothing else."""

    phase: ClassVar = Phase.STANDING_BY
    since: timedelta
    asked_why: bool = False  # the first thing that is said now is kept as the reason


@dataclass(frozen=True, slots=True)
class Finished:
    """For nothing more."""

    phase: ClassVar = Phase.FINISHED


WaitsFor = (
    Ready
    | Answering
    | Confirming
    | Outside
    | AwaitingSecond
    | Identifying
    | IdentityHeard
    | Inspecting
    | WhyUnable
    | WhyRejected
    | WhatWasDone
    | Categorising
    | Deferring
    | WhoDeferred
    | Referencing
    | DeferralHeard
    | CheckingState
    | GoingBack
    | StandingBy
    | Finished
)


def asked_of(waits_for: WaitsFor) -> Role:
    """Whose word is waited for."""
    match waits_for:
        case Identifying(role=role) | IdentityHeard(asked=Identifying(role=role)):
            return role
        case Inspecting() | WhyRejected():
            return Role.INSPECTOR
        case AwaitingSecond():
            return Role.SECOND_PERSON
    return Role.TECHNICIAN


def value_said(waits_for: WaitsFor) -> tuple[Say, ...]:
    """What "read back" repeats: what was said of the value in question; empty where there is none.

    It also follows "say again", for what was not heard may have been a correction.
    """
    match waits_for:
        case Confirming(read_back=says) | Outside(read_back=says) | IdentityHeard(read_back=says):
            return says
        case DeferralHeard(read_back=says) | Deferring(question=says) | GoingBack(question=says):
            return says
        case Answering(refusal=says):
            return says
    return ()


def value_in_question(waits_for: WaitsFor) -> Decimal | str | None:
    """The reading, identity, phrase or staff number that waits for "affirm"; None: nothing does."""
    match waits_for:
        case DeferralHeard(reference=reference):
            return reference
        case Confirming(value=value):
            return value
        case IdentityHeard(person=person):
            return person.staff_number
    return None
