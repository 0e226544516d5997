"""A family of hostile input: how one is made, and what is done with it."""

from abc import ABC, abstractmethod
from enum import Enum
from pathlib import Path
from random import Random
from typing import ClassVar


class DataLost(Exception):
    """Something that was acknowledged, or that must be on the record, is not there."""


class Verdict(Enum):
    """What came of one input."""

    REFUSED = "clear error"
    TAKEN = "fine"
    TRACEBACK = "traceback"
    HANG = "hang"
    MEMORY = "memory"
    LOST = "data lost"


class Family(ABC):
    """One kind of input; built once, for what is costly to make."""

    name: ClassVar[str]

    def __init__(self, folder: Path) -> None:
        """`folder` is empty, and its own."""
        self.folder = folder

    @abstractmethod
    def make(self, random: Random) -> bytes:
        """One input; equal seeds give equal ones."""

    @abstractmethod
    def use(self, content: bytes, random: Random) -> Verdict:
        """Do all that the commands do with it.

        Gives TAKEN, or REFUSED where the answer is no exception. A HandsfreeError is a clear error,
        DataLost says so itself, and any other exception is a traceback.
        """

    def close(self) -> None:  # noqa: B027 - most hold nothing open
        """Let go of what it holds open."""
