"""What became of something that was acted on, by the end of its record."""

from collections.abc import Iterable, Sequence
from enum import Enum

from handsfree.engine.entries import (
    ChoiceMade,
    DateRead,
    FirstStated,
    IdentityRead,
    SecondStated,
)
from handsfree.record.entries import LoggedEntry
from handsfree.record.passes import Pass, passes
from handsfree.record.readings import readings
from handsfree.record.speakers import utterers

_VALUES = IdentityRead | DateRead | ChoiceMade | FirstStated | SecondStated


class Fate(Enum):
    """Whether it still counts."""

    STANDS = "stands"
    REPLACED = "was taken back, corrected or found again later"
    UNDONE = "was undone by going back"


class Fates:
    """The fates of all that was heard in one record."""

    def __init__(self, entries: Iterable[LoggedEntry]) -> None:
        """Raises EntryUnreadable."""
        entries = tuple(entries)
        self._readings = {
            each.heard_in: each for each in readings(entries) if each.heard_in is not None
        }
        self._passes = passes(entries, utterers(entries))

    def of(self, heard: LoggedEntry, followed: Sequence[LoggedEntry]) -> Fate:
        """What became of what was made of that utterance; `followed` is what it led to."""
        reading = self._readings.get(heard.seq)
        if reading is not None:
            if reading.undone == "yes":
                return Fate.UNDONE
            return Fate.STANDS if reading.affirmed == "yes" else Fate.REPLACED
        passed = self._pass_with(heard.seq)
        if passed is None:
            return Fate.STANDS
        if passed.undone:
            return Fate.UNDONE
        is_value = any(isinstance(each.value, _VALUES) for each in followed)
        return Fate.REPLACED if is_value and heard.clip not in _clips_of(passed) else Fate.STANDS

    def _pass_with(self, entry: int) -> Pass | None:
        """The time that a step was gone through in which that entry lies."""
        begun = (each for each in reversed(self._passes) if each.entry <= entry)
        last = next(begun, None)
        if last is None or (last.last_entry and last.last_entry < entry):
            return None
        return last


def _clips_of(passed: Pass) -> set[str | None]:
    """The sound of the value that the step was left with."""
    both = (each.clip for each in (passed.first, passed.second) if each is not None)
    return {passed.clip, *both}
