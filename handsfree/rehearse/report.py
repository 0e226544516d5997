"""A rehearsal as it is kept beside its task: the counts, and what they were counted of.

No verdict is kept: it follows from the counts and the bound of the task as it is now, in
`standing.py`. What a person reads is made of this file by `page.py`.
"""

from datetime import date
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, NonNegativeInt, ValidationError

from handsfree.errors import HandsfreeError
from handsfree.rehearse.bias import difference
from handsfree.rehearse.intervals import Count, Interval

SUFFIX = ".rehearsal.json"


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Results(_Part):
    """How many of each result."""

    right: NonNegativeInt = 0
    asked: NonNegativeInt = 0
    wrong: NonNegativeInt = 0
    read_back: NonNegativeInt = 0  # of the wrong ones: said first to the person, who must affirm it

    @property
    def of(self) -> int:
        """All of them."""
        return self.right + self.asked + self.wrong

    def count(self, result: Literal["right", "asked", "wrong"]) -> Count:
        """One of them, with its interval."""
        return Count(getattr(self, result), self.of)

    @property
    def troubled(self) -> Count:
        """Those that were not accepted right."""
        return Count(self.asked + self.wrong, self.of)

    def __add__(self, other: "Results") -> "Results":
        return Results(
            right=self.right + other.right,
            asked=self.asked + other.asked,
            wrong=self.wrong + other.wrong,
            read_back=self.read_back + other.read_back,
        )


class StepResults(_Part):
    """Of one step, one kind of saying and one ratio."""

    step: str
    kind: Literal["answer", "mistake", "talk"]
    snr_db: float
    results: Results


class Taken(_Part):
    """Words, and what they were taken for."""

    step: str
    at: str  # what the step waited for
    kind: Literal["answer", "mistake", "talk"]
    said: str
    heard: str
    result: Literal["asked again", "accepted wrong"]
    times: int
    snrs_db: tuple[float, ...]


class StepTime(_Part):
    """What a step takes by voice, on the mean of the conversations."""

    step: str
    turns: float  # utterances of people
    tool_words: float
    people_words: float
    seconds: float


class TakenInTalk(_Part):
    """What was accepted wrong in a conversation."""

    step: str
    said: str
    heard: str
    read_back: bool  # said first to the person, who must affirm it


class Talk(_Part):
    """One conversation."""

    voice: str
    snr_db: float
    finished: bool
    turns: int
    asked_again: int
    minutes: float
    wrong: tuple[TakenInTalk, ...] = ()


class WayTime(_Part):
    """A way through the task where all is heard surely."""

    way: str
    turns: int
    minutes: float


class Rewording(_Part):
    """Another phrase for a step, as it was tried."""

    step: str
    before: str
    after: str
    results_before: Results  # answers, and mistakes that the phrase has a part in
    results_after: Results
    answers_before: Results = Results()  # answers to the step alone, more of them
    answers_after: Results = Results()

    @property
    def fewer(self) -> Interval:
        """By how much fewer answers are asked for again or wrong, -1 to 1."""
        return difference(self.answers_before.troubled, self.answers_after.troubled)

    @property
    def helps(self) -> bool:
        """Whether that is shown, and of all that it has a part in no more is accepted wrong."""
        return self.fewer.low > 0 and self.results_after.wrong <= self.results_before.wrong


class LeftOut(_Part):
    """A recording that does not count, and why."""

    file: str
    why: str
    # Something else was heard in it. Whoever reads the file cannot tell whether it was named wrong
    # or was misheard, which is what a rehearsal looks for.
    other_words: bool = False


class Settings(_Part):
    """What it was rehearsed with."""

    voices: tuple[str, ...]
    recordings: int  # of people
    people: tuple[str, ...]
    noises: tuple[str, ...]
    snrs_db: tuple[float, ...]
    runs: int
    seed: int


class Sources(_Part):
    """What a rehearsal holds for: by SHA-256, and libraries by version."""

    phrases: str
    models: dict[str, str]  # by file
    code: dict[str, str]  # by folder of handsfree
    libraries: dict[str, str]


class Rehearsal(_Part):
    """The whole file."""

    format: Literal[1] = 1
    task: str
    title: str
    revision: str
    made_on: date
    made_with: str  # handsfree and its version
    of: Sources
    settings: Settings
    steps: tuple[StepResults, ...]
    by_noise: dict[str, Results]  # answers only
    by_voice: dict[str, Results]  # answers only
    recorded: tuple[StepResults, ...]  # the same of people's recordings
    left_out: tuple[LeftOut, ...]
    taken: tuple[Taken, ...]  # worst first
    unreached: tuple[str, ...]  # steps that nobody came to
    carried_over: NonNegativeInt  # hearings from before a phrase changed that had no part in them
    times: tuple[StepTime, ...]
    talks: tuple[Talk, ...]
    ways: tuple[WayTime, ...]
    rewordings: tuple[Rewording, ...]  # tried, the one that helps most first

    @property
    def other_words(self) -> int:
        """How many recordings were left out because something else was heard in them."""
        return sum(each.other_words for each in self.left_out)

    def results_at(self, snr_db: float | None = None, *, recorded: bool = False) -> Results:
        """All that was said, at one ratio or at all."""
        rows = self.recorded if recorded else self.steps
        chosen = (each.results for each in rows if snr_db is None or each.snr_db == snr_db)
        return sum(chosen, Results())


class RehearsalUnreadable(HandsfreeError):
    """The file beside a task is no rehearsal."""

    def __init__(self, path: Path, why: str) -> None:
        super().__init__(
            f"{path}: is no rehearsal that can be read ({why}). Rehearse the task anew."
        )


def rehearsal_of(task_file: Path) -> Path:
    """Where the rehearsal of a task file lies: beside it."""
    return task_file.with_name(f"{task_file.stem}{SUFFIX}")


def as_json(rehearsal: Rehearsal) -> str:
    """The file, one line for each row, so that a change can be read."""
    return rehearsal.model_dump_json(indent=1) + "\n"


def read_rehearsal(path: Path, text: str) -> Rehearsal:
    """The rehearsal in `text`, which was read from `path`; raises RehearsalUnreadable."""
    try:
        return Rehearsal.model_validate_json(text)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(map(str, first["loc"])) or "the file"
        raise RehearsalUnreadable(path, f"{where}: {first['msg']}") from error
