"""What can happen to a run. Facts, in the past tense."""

from dataclasses import dataclass

from handsfree.words.heard import Heard


@dataclass(frozen=True, slots=True)
class Started:
    """Somebody started the task."""

    confusable: tuple[str, ...] = ()  # phrases that sound like another one of the task


@dataclass(frozen=True, slots=True)
class Spoken:
    """All that was to be said has been said; the technician can speak now."""


Event = Started | Spoken | Heard
