"""One input after the other, each judged; what was wrong can be made again from its seed."""

import signal
import sys
import traceback
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from random import Random
from types import FrameType

from handsfree.errors import HandsfreeError
from tests.fuzz.family import DataLost, Family, Verdict
from tests.fuzz.files import FILES
from tests.fuzz.reheard import REHEARD
from tests.fuzz.running import RUNNING

FAMILIES: dict[str, type[Family]] = {each.name: each for each in (*FILES, *RUNNING, *REHEARD)}
LONGEST_S = 20.0  # for one input, on a machine that does other things too
GOOD = (Verdict.REFUSED, Verdict.TAKEN)


class Hang(BaseException):
    """One input has taken too long; no handler of errors holds it up."""


@dataclass(slots=True)
class Found:
    """What came of some inputs of one family."""

    counts: Counter[Verdict] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)  # one for each that is not good

    @property
    def tried(self) -> int:
        """How many."""
        return sum(self.counts.values())

    def add(self, other: "Found") -> None:
        """Take in what another found."""
        self.counts += other.counts
        self.wrong += other.wrong


def judge(family: Family, seed: int, longest_s: float = LONGEST_S) -> tuple[Verdict, str]:
    """What comes of the input of this seed, and what to tell of it."""
    random = Random(f"{family.name} {seed}")
    content = family.make(random)
    unraised: list[str] = []
    try:
        with _within(longest_s), _nothing_printed(unraised):
            verdict = family.use(content, random)
        return (Verdict.TRACEBACK, unraised[0]) if unraised else (verdict, "")
    except HandsfreeError as error:
        problem = _wrong_with(str(error))
        return (Verdict.TRACEBACK, problem) if problem else (Verdict.REFUSED, "")
    except DataLost as error:
        return Verdict.LOST, str(error)
    except Hang:
        return Verdict.HANG, traceback.format_exc(limit=-3)
    except MemoryError:
        return Verdict.MEMORY, traceback.format_exc(limit=-3)
    except Exception:  # whatever it is, a person would have met it
        return Verdict.TRACEBACK, traceback.format_exc(limit=-3)


def judged(
    family: Family, seeds: Iterator[int] | range, goes_on: Callable[[], bool] = lambda: True
) -> Found:
    """All of them, in their order, for as long as it goes on."""
    found = Found()
    for seed in seeds:
        if not goes_on():
            break
        verdict, told = judge(family, seed)
        found.counts[verdict] += 1
        if verdict not in GOOD:
            found.wrong.append(f"{family.name}, seed {seed}, {verdict.value}: {told}")
    return found


def _wrong_with(message: str) -> str:
    """Why an error is none that a person can use; empty: it is."""
    if not message.strip():
        return "an error without a word"
    if "Traceback" in message or "NoneType" in message:
        return f"an error that speaks of the program: {message[:300]}"
    return ""


@contextmanager
def _nothing_printed(unraised: list[str]) -> Iterator[None]:
    """A warning of a library is an error, and what Python can only print is kept."""

    def keep(told: "sys.UnraisableHookArgs") -> None:
        unraised.append(f"{told.err_msg}: {told.exc_value!r}")

    before = sys.unraisablehook
    sys.unraisablehook = keep
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", RuntimeWarning)
            yield
    finally:
        sys.unraisablehook = before


@contextmanager
def _within(seconds: float) -> Iterator[None]:
    def too_long(_number: int, _frame: FrameType | None) -> None:
        raise Hang

    before = signal.signal(signal.SIGALRM, too_long)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
