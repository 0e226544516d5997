"""Entries about work that stops, what stands in its way, and how it goes on or back."""

from dataclasses import dataclass

from handsfree.engine.findings import Category, Finding


@dataclass(frozen=True, slots=True)
class StoodBy:
    """The task waits for "go ahead"."""

    step: str
    reason: str


@dataclass(frozen=True, slots=True)
class WentOn:
    """The task goes on after standing by."""

    step: str


@dataclass(frozen=True, slots=True)
class Remarked:
    """Something was said freely. What counts is its clip; this is what a listener wrote down."""

    step: str
    about: str  # "stand by", "unable", "rejected", "deferred" (by whom), "closed" (what was done)
    text: str
    finding: int | None = None


@dataclass(frozen=True, slots=True)
class FindingOpened:
    """Something could not be done, or is not as it should be."""

    finding: Finding


@dataclass(frozen=True, slots=True)
class FindingCategorised:
    """It was said what stands in the way."""

    number: int
    category: Category


@dataclass(frozen=True, slots=True)
class FindingClosed:
    """A second person has closed a finding."""

    number: int
    by: str
    name: str


@dataclass(frozen=True, slots=True)
class TimesVoid:
    """What was done at these steps was timed, and the time was not measured to its end."""

    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StateAffirmed:
    """After an interruption or a handover, a state was found as it is recorded."""

    state: str
    value: str


@dataclass(frozen=True, slots=True)
class StateDiffers:
    """After an interruption or a handover, a state was found otherwise. A finding is open."""

    state: str
    recorded: str
    undoes: tuple[str, ...]  # steps that are done, and that this undoes


@dataclass(frozen=True, slots=True)
class WentBack:
    """Steps are undone, and their states put back; the record keeps both passes."""

    step: str  # where the run goes on
    undone: tuple[str, ...]  # in the order in which they were done
    states: tuple[tuple[str, str], ...]  # as they are again


InterruptionEntry = (
    StoodBy
    | WentOn
    | Remarked
    | FindingOpened
    | FindingCategorised
    | FindingClosed
    | TimesVoid
    | StateAffirmed
    | StateDiffers
    | WentBack
)
