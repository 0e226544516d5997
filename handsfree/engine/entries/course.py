"""Entries about the course of the task: each step begun, done or left."""

from dataclasses import dataclass
from datetime import timedelta

from handsfree.engine.findings import Finding


@dataclass(frozen=True, slots=True)
class TaskBegun:
    """The task was started."""

    task: str
    revision: str
    approved_data: str
    approved_data_revision: str
    confusable: tuple[str, ...] = ()  # phrases that sound like another one of the task
    variants: tuple[tuple[str, str], ...] = ()  # what this run is for, by name
    people_identified: bool = False  # by a roster; else nobody knows who said what


@dataclass(frozen=True, slots=True)
class StepBegun:
    """A step was spoken, for the first time or again after standing by."""

    step: str


@dataclass(frozen=True, slots=True)
class StepConfirmed:
    """The step is done."""

    step: str
    words: str  # what confirmed it
    sets: tuple[tuple[str, str], ...]  # states and their new values
    counts: tuple[tuple[str, int], ...] = ()  # how many more are out, by what is counted


@dataclass(frozen=True, slots=True)
class StepLeft:
    """What was found leads on from the step, as the task says."""

    step: str
    outcome: str  # such as "below", "late", or the choice that was found
    words: str  # what was heard
    sets: tuple[tuple[str, str], ...]
    planned: bool = False  # work done as planned; else the step is not done


@dataclass(frozen=True, slots=True)
class StepDeferred:
    """The step is not done, and stays so: a finding is open."""

    step: str
    authority: str  # who, as the task says, may defer it
    words: str  # what was heard
    sets: tuple[tuple[str, str], ...]
    by: str = ""  # the name of who did, as a listener wrote it down; its clip is what counts
    reference: str = ""  # under which they did, as it was read back and affirmed


@dataclass(frozen=True, slots=True)
class AnsweredTooEarly:
    """The step must wait longer before it is answered; it was asked for again."""

    step: str
    words: str
    remaining: timedelta


@dataclass(frozen=True, slots=True)
class TaskEnded:
    """Every step on the way through the task is done, but for the findings."""

    states: tuple[tuple[str, str], ...]
    counts: tuple[tuple[str, int], ...] = ()  # how many are out, by what is counted
    findings: tuple[tuple[str, str], ...] = ()  # the steps left undone, by id, with how
    open_findings: tuple[Finding, ...] = ()


CourseEntry = (
    TaskBegun | StepBegun | StepConfirmed | StepLeft | StepDeferred | AnsweredTooEarly | TaskEnded
)
