"""What the commands read from and write to, whatever state the terminal or the shell left it in."""

import errno
import io
import os
import sys
from typing import TextIO

from handsfree.errors import HandsfreeError


class OutputLost(HandsfreeError, OSError):
    """What a command shows cannot be written."""

    def __init__(self, error: OSError) -> None:
        super().__init__(
            f"The output cannot be written ({error.strerror}). Make room, or send it elsewhere."
        )


class _Output(io.FileIO):
    """Standard output: that it is lost ends a command, but not a run, which has a voice."""

    def write(self, content: object) -> int:
        try:
            return super().write(content)  # type: ignore[arg-type]
        except BrokenPipeError:
            raise  # as behind `| head`, which is no mistake
        except OSError as error:
            raise OutputLost(error) from error


class _Problems(io.FileIO):
    """Standard error: where nobody can read it, the work still goes on."""

    def write(self, content: object) -> int:
        try:
            return super().write(content)  # type: ignore[arg-type]
        except OSError:
            return len(content)  # type: ignore[arg-type]


def settle_streams() -> None:
    """Let reading and writing by name of `sys` be safe; call it once, before anything is shown.

    A stream that was closed is nowhere, so that no file of ours takes its number. What an output
    cannot encode is written out: a terminal that knows ASCII only must not end a command.
    """
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError as error:
            if error.errno != errno.EBADF:
                raise
            os.open(os.devnull, os.O_RDWR)  # takes the lowest number that is free: this one
    if sys.stdin is None:
        sys.stdin = open(0, closefd=False)  # noqa: SIM115 - for as long as the program runs
    # One that a test or another program put there is theirs.
    if sys.stdout is sys.__stdout__:
        sys.stdout = _written(_Output(1, "wb", closefd=False), sys.stdout)
    if sys.stderr is sys.__stderr__:
        sys.stderr = _written(_Problems(2, "wb", closefd=False), sys.stderr)


def leave_streams() -> None:
    """Write what is left; raises OutputLost. Afterwards nothing fails once more at the very end."""
    try:
        sys.stdout.flush()
    except OSError as error:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        if not isinstance(error, BrokenPipeError):
            raise


def _written(raw: io.FileIO, before: TextIO | None) -> io.TextIOWrapper:
    if before is not None:
        before.flush()
    return io.TextIOWrapper(
        io.BufferedWriter(raw),
        encoding=before.encoding if before is not None else "utf-8",
        errors="backslashreplace",
        line_buffering=raw.isatty() or raw.fileno() == 2,
    )
