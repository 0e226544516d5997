"""What can happen to a run. Facts, in the past tense."""

from dataclasses import dataclass
from datetime import date

from handsfree.task.equipment_list import ListedTool
from handsfree.words.heard import Heard


@dataclass(frozen=True, slots=True)
class Started:
    """Somebody started the task."""

    confusable: tuple[str, ...] = ()  # phrases that sound like another one of the task
    variants: tuple[tuple[str, str], ...] = ()  # one value for each of the task's, by name
    today: date | None = None  # UTC; None: no date can be judged
    equipment: tuple[ListedTool, ...] | None = None  # what the tool store lists; None: no list


@dataclass(frozen=True, slots=True)
class Spoken:
    """All that was to be said has been said; the technician can speak now."""


@dataclass(frozen=True, slots=True)
class HearingLost:
    """For a while nothing could be heard, or still cannot be."""

    reason: str  # for the voice and the record, such as "the microphone has gone"


@dataclass(frozen=True, slots=True)
class HearingReturned:
    """What was lost is back."""


Event = Started | Spoken | Heard | HearingLost | HearingReturned
