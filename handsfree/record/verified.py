"""What was found when a record was checked."""

from dataclasses import dataclass
from datetime import datetime
from enum import Enum

from handsfree.record.reviews import Review, standing_rejection
from handsfree.record.seal import Seal
from handsfree.record.trusted import TrustedKey


@dataclass(frozen=True, slots=True)
class Problem:
    """Something that is not as it was written."""

    where: str  # such as "log.jsonl, entry 17"
    what: str
    entries_after: int = 0  # that rest on it and cannot be judged
    seals_after: int = 0

    def __str__(self) -> str:
        return f"{self.where}: {self.what}.{self._after()}"

    def _after(self) -> str:
        entries, seals = self.entries_after, self.seals_after
        told = [
            f"{count} {name if count == 1 else names}"
            for count, name, names in ((entries, "entry", "entries"), (seals, "seal", "seals"))
            if count
        ]
        if not told:
            return ""
        verb = "follows" if entries + seals == 1 else "follow"
        return f" {' and '.join(told)} after it {verb} from it."


class Stage(Enum):
    """How far a run has come, by its record."""

    FINISHED = "finished"
    UNFINISHED = "unfinished"
    BEING_WRITTEN = "still being written"


@dataclass(frozen=True, slots=True)
class Verified:
    """What was found."""

    entries: int  # that hang together
    clips: int  # that are there and unchanged
    removed: int  # clips that are gone, and whose removal is on the log
    seals: tuple[Seal, ...]  # that hold, of each key the newest
    problems: tuple[Problem, ...]
    notes: tuple[str, ...]  # nothing wrong, but worth knowing
    stamped: datetime | None = None  # UTC, when a trusted authority saw the seal
    stage: Stage = Stage.FINISHED
    keyless_until: int | None = None  # the last entry before the first seal, if people spoke by it
    owners: tuple[TrustedKey | None, ...] | None = None  # of each seal; None: no list was asked
    reviews: tuple[Review, ...] = ()  # the latest first

    @property
    def sealed(self) -> Seal | None:
        """The seal that covers most."""
        return max(self.seals, key=lambda seal: seal.entries, default=None)

    @property
    def rejection(self) -> Review | None:
        """The rejection that stands; None: there is none, or it was lifted."""
        return standing_rejection(self.reviews)

    @property
    def word(self) -> Review | None:
        """The supervisor's word that stands: a rejection, else the latest that counts."""
        return self.rejection or next((each for each in self.reviews if each.counts), None)
