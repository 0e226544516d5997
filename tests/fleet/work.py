"""Work that the tests hand out."""

import os
import resource
import signal
import threading
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from handsfree.errors import Misuse
from handsfree.fleet.needs import brought
from handsfree.fleet.threads import at_once


@dataclass(frozen=True, slots=True)
class Number:
    number: int


@dataclass(frozen=True, slots=True)
class Marked:
    number: int
    mark: str  # a file that is made by whoever does it first


def square(given: Number) -> int:
    return given.number**2


def length_of(given: str) -> int:
    return len(brought(given))


def fail(given: Number) -> int:
    raise Misuse(f"{given.number} is no number for this.")


def die(given: Number) -> int:
    os.kill(os.getpid(), signal.SIGKILL)
    raise AssertionError("it lives")


def die_once(given: Marked) -> int:
    mark = Path(given.mark)
    if not mark.exists():
        mark.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return given.number**2


def page_faults(given: Number) -> int:
    """How often the system had to hand out a page while 1 MB was taken and freed so often."""
    before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
    for _ in range(given.number):
        np.ones(2**17)
    return resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before


_TWO = threading.Barrier(2)


def wait_for_another(given: Number) -> int:
    """Done only where two of these are done at the same time; else BrokenBarrierError."""
    _TWO.wait(timeout=60)
    return given.number


def how_many_at_once(_given: Number) -> int:
    return at_once()
