"""What is noted of a record: a row of each kind. Each is a table of the index, with these columns.

Times are UTC in ISO 8601, which sorts as time does; days are those of the clock on the wall. Limits
are decimals rounded inward, as `export` writes them; what ends in `_drawn` is a float for a picture
and is compared with nothing; None: there is none, or it is so large that nothing else would be seen
in the picture.
"""

from dataclasses import dataclass
from enum import Enum


class Stands(Enum):
    """How a record stands, worst first; where several are true, the worst is told."""

    CANNOT_BE_READ = "cannot be read"
    NOT_AS_WRITTEN = "does not verify"
    DECIDES_OTHERWISE = "a replay decides otherwise"
    TRIAL = "a trial, no work"
    REJECTED = "rejected by a supervisor"
    NOT_FINISHED = "not finished"
    BEING_WRITTEN = "still being written"
    NOT_ALL_DONE = "finished, not every step done"
    FINDINGS_OPEN = "finished, findings open"
    FINISHED = "finished"

    @property
    def rank(self) -> int:
        """0 is the worst."""
        return list(Stands).index(self)


# Nobody can rely on a record that stands so.
BAD = (Stands.CANNOT_BE_READ, Stands.NOT_AS_WRITTEN, Stands.DECIDES_OTHERWISE, Stands.REJECTED)


class Word(Enum):
    """What supervisors said of a record, as far as it counts."""

    ACCEPTED = "accepted"
    REJECTED = "rejected"
    VOID = "word does not count"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class RecordRow:
    """A record, or what lies where one should be."""

    id: str  # of the place in the folder, so that no address needs to hold a path
    place: bytes  # below the folder, as the file system names it
    name: str  # the same for people
    mark: str  # by which it is told whether anything in the record has changed
    stands: str
    rank: int  # of `stands`
    why: str  # of what cannot be read, does not verify or was rejected; "" otherwise
    verdict: str = ""  # in a line
    trust: str = ""
    task: str = ""
    title: str = ""
    revision: str = ""
    data: str = ""  # the approved data with its revision
    aircraft: str = ""
    component: str = ""
    began: str = ""
    ended: str = ""
    day: str = ""  # on which it began, by the clock on the wall
    clock: str = ""  # when it began, by the same clock
    work_s: float = 0.0
    stand_by_s: float = 0.0
    at_step: str = ""  # where an unfinished run stands
    heard: str = ""  # "by voice" and the like, all ways that occur
    utterances: int = 0
    asked_again: int = 0
    wrong: int = 0  # of what needs eyes, by its weight
    doubtful: int = 0
    noted: int = 0
    open_findings: int = 0
    review: str = Word.NONE.value
    review_told: str = ""  # whose word, and what they said of it; where none counts, the latest


@dataclass(frozen=True, slots=True)
class StepRow:
    """One time that a step was gone through, or is being gone through."""

    record: str
    pass_number: int  # from 0, in the order in which they began
    step: str
    place: int  # among the steps of the task, from 1; 0: it has no such step
    text: str
    entry: int  # the line of the conversation with which it begins
    began: str
    day: str
    work_s: float
    stand_by_s: float
    attempts: int
    asked_again: int
    ended_as: str
    undone: bool
    person: str
    lowest_score: float | None
    affirmed_by: str = ""
    second_person: str = ""
    second_value: str = ""
    inspector: str = ""
    value: str = ""
    unit: str = ""
    lowest: str = ""
    highest: str = ""
    verdict: str = ""
    tool: str = ""
    tool_serial: str = ""
    tool_due: str = ""


@dataclass(frozen=True, slots=True)
class ToolRow:
    """A tool at one pass: used for its step, or its number read out."""

    record: str
    pass_number: int
    serial: str
    key: str  # letters and figures of the serial only
    used: bool


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """A value that was judged at a step, also one that did not stay."""

    record: str
    entry: int  # the line of the conversation in which it was said
    utc: str
    day: str
    step: str
    place: int  # of the step, as in `StepRow`
    quantity: str
    value: str
    unit: str
    lowest: str
    highest: str
    verdict: str
    affirmed: bool
    undone: bool
    person: str
    value_drawn: float | None
    lowest_drawn: float | None
    highest_drawn: float | None


@dataclass(frozen=True, slots=True)
class SaidRow:
    """What a person said."""

    record: str
    entry: int
    utc: str
    day: str
    step: str
    person: str
    words: str  # as understood; "" where nothing fitted
    wrote: str  # what each listener writes freely
    score: float
    refused: str  # why it was not acted on; "" where it was
    asked_again: bool  # the hearing was doubted, and it had to be said again
    taken_back: bool  # the value was read back, and taken back or said anew
    meant: str  # what was acted on in the end: the phrase, or which kind of value
    clip: str


@dataclass(frozen=True, slots=True)
class FindingRow:
    """A finding as it stands."""

    record: str
    number: int
    step: str
    category: str
    remark: str
    raised: str  # when
    day: str
    raised_by: str
    is_open: bool
    closed_by: str
    action: str


@dataclass(frozen=True, slots=True)
class EyesRow:
    """Something that needs eyes."""

    record: str
    entry: int
    utc: str
    weight: int  # 0 wrong, 1 doubtful, 2 noted
    what: str
    why: str
    person: str


@dataclass(frozen=True, slots=True)
class PersonRow:
    """What one person did."""

    record: str
    person: str
    did: str  # such as "did" or "inspected"; "" for who is only present
    times: int


Row = RecordRow | StepRow | ToolRow | ReadingRow | SaidRow | FindingRow | EyesRow | PersonRow

TABLES: dict[str, type[Row]] = {
    "records": RecordRow,
    "steps": StepRow,
    "tools": ToolRow,
    "readings": ReadingRow,
    "said": SaidRow,
    "findings": FindingRow,
    "eyes": EyesRow,
    "people": PersonRow,
}


def tool_key(serial: str) -> str:
    """A serial as it is compared: "TA-31", "ta31" and "TA 31" are one."""
    return "".join(each for each in serial.upper() if each.isalnum())
