"""The one root of every error that a person meets."""

from typing import ClassVar


class HandsfreeError(Exception):
    """What went wrong, where, and what to do now, in words for the person at the terminal.

    Never raised itself: each kind of trouble has its own class beside the code that meets it.
    `cli/app.py` catches this root once; any other exception is a bug of ours and keeps its
    traceback.
    """

    exit_code: ClassVar[int] = 1  # 1: something is wrong with what was found; 2: with the call


class Misuse(HandsfreeError):
    """A command was called in a way that makes no sense."""

    exit_code = 2
