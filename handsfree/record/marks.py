"""What is on the record beside events and decisions: what happened to the run and to the record."""

import re
from dataclasses import dataclass
from enum import Enum

_SHA256 = re.compile("[0-9a-f]{64}")  # and a public key, which is as long


class Way(Enum):
    """How what people said reached the tool."""

    VOICE = "by voice"
    CLIP = "from clips"
    TYPED = "typed"


@dataclass(frozen=True, slots=True)
class RecordOpened:
    """The first entry of every record. What older versions did not write has a default."""

    handsfree: str  # the version that wrote it
    task_sha256: str  # of task.yaml
    by: str | None  # who does the work, as their key names them; None: no key, so no seal
    task: str = ""  # its name, and below its revision, both as the file gives them
    revision: str = ""
    heard: Way | None = None
    models: tuple[tuple[str, str], ...] = ()  # each file that listened, and its SHA-256
    zone: str = ""  # how far the clock on the wall is ahead of UTC, such as "+02:00"
    clock_rate: int = 1  # how many times as fast as that the time of a trial went; 1: no trial


@dataclass(frozen=True, slots=True)
class NotHeard:
    """Something should have reached the ear but could not be taken."""

    source: str
    problem: str


@dataclass(frozen=True, slots=True)
class Stopped:
    """The run ended before the task did."""

    step: str
    reason: str


@dataclass(frozen=True, slots=True)
class ScreenLost:
    """Nothing could be shown from here on; the run went on by voice."""

    reason: str


@dataclass(frozen=True, slots=True)
class TailCut:
    """A line that was being written when the program was killed, and was never acknowledged."""

    size_bytes: int
    content: str  # what there was of it; bytes that are no text as \\x..


@dataclass(frozen=True, slots=True)
class Resumed:
    """The run goes on from the record. The time in between does not count as labour."""

    step: str
    by: str | None
    handsfree: str = ""  # from here on as in the first entry, now
    heard: Way | None = None
    models: tuple[tuple[str, str], ...] = ()
    zone: str = ""


@dataclass(frozen=True, slots=True)
class Reminded:
    """Said once more after an interruption. Older versions wrote it: now `TakenUp` leads to it."""

    text: str


@dataclass(frozen=True, slots=True)
class Redacted:
    """The sound of these clips was removed; their hashes stay where they were heard.

    What was wrong with them before is told for good, since nobody can look at it again.
    """

    clips: tuple[str, ...]  # SHA-256
    by: str | None
    reason: str
    missing: tuple[str, ...] = ()  # of the clips: was not there any more
    altered: tuple[tuple[str, str], ...] = ()  # clip, and the SHA-256 of what was in its place
    unheard: tuple[str, ...] = ()  # SHA-256 of sounds that lay there, and that no entry heard

    def __post_init__(self) -> None:
        altered = (each for pair in self.altered for each in pair)
        for clip in (*self.clips, *self.missing, *altered, *self.unheard):
            if not _SHA256.fullmatch(clip):
                raise ValueError(f"{clip!r} is no SHA-256")


@dataclass(frozen=True, slots=True)
class Reviewed:
    """A supervisor's word on all that stands before it. It is that of its key only where signed.

    Whoever can write to the folder can write such an entry, in any name: what it says of a person
    is believed by nobody who reads it (see `reviews.py`).
    """

    by: str  # as they call themselves
    key: str  # the public key, in hexadecimal
    role: str  # as they state it themselves
    accepted: bool  # False: rejected
    remark: str
    took_part: tuple[str, ...] = ()  # what they were told of their own part in the work
    signature: str = ""  # of the key, over the entry and its place: see `signed_word.py`

    def __post_init__(self) -> None:
        if not _SHA256.fullmatch(self.key):
            raise ValueError(f"{self.key!r} is no public key")


Mark = (
    RecordOpened
    | NotHeard
    | ScreenLost
    | Stopped
    | TailCut
    | Resumed
    | Reminded
    | Redacted
    | Reviewed
)
# What happens to a record when the work is over, and is no part of it.
Afterwards = TailCut | Redacted | Reviewed
