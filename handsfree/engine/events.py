"""What can happen to a run. Facts, in the past tense."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from handsfree.engine.manner import Manner
from handsfree.task.equipment_list import ListedTool
from handsfree.task.roster import Person
from handsfree.words.heard import Heard


@dataclass(frozen=True, slots=True)
class Started:
    """Somebody started the task."""

    confusable: tuple[str, ...] = ()  # phrases that sound like another one of the task
    variants: tuple[tuple[str, str], ...] = ()  # one value for each of the task's, by name
    today: date | None = None  # UTC; None: no date can be judged
    equipment: tuple[ListedTool, ...] | None = None  # what the tool store lists; None: no list
    people: tuple[Person, ...] = ()  # the roster; empty: nobody is identified
    at: timedelta = timedelta(0)  # the running time at this moment
    clock: datetime | None = (
        None  # the time of day then, UTC, which tells whose authorisation is over
    )
    manner: Manner = Manner.FULL
    # By role, of each believed hearing in the sound check before the run: whether it was right.
    checked: tuple[tuple[str, tuple[bool, ...]], ...] = ()


@dataclass(frozen=True, slots=True)
class TakenUp:
    """The program had ended, for a time that nobody measured, and goes on from the record."""

    at: timedelta  # the running time, which stood still in between
    clock: datetime | None = None


@dataclass(frozen=True, slots=True)
class Spoken:
    """All that was to be said has been said; the technician can speak now."""


@dataclass(frozen=True, slots=True)
class SilenceFor:
    """Nothing was heard for so long while the tool was listening."""

    silence: timedelta
    at: timedelta  # the running time at its end


@dataclass(frozen=True, slots=True)
class TimeCame:
    """The running time that a `Listen` named has come, and nothing was heard before it."""

    at: timedelta  # the running time at this moment


@dataclass(frozen=True, slots=True)
class HearingLost:
    """For a while nothing could be heard, or still cannot be."""

    reason: str  # for the voice and the record, such as "the microphone has gone"


@dataclass(frozen=True, slots=True)
class HearingReturned:
    """What was lost is back."""


@dataclass(frozen=True, slots=True)
class VoiceLost:
    """In place of `Spoken`: something that was to be said may not have been heard."""

    reason: str  # for the voice, in case it is back, and the record


Event = (
    Started
    | TakenUp
    | Spoken
    | SilenceFor
    | TimeCame
    | Heard
    | HearingLost
    | HearingReturned
    | VoiceLost
)
