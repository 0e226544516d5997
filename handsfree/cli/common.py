"""What several commands do: read a task file, show that something takes its time, tell the day."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from threading import Timer
from typing import TYPE_CHECKING, Annotated

import typer

from handsfree.errors import Misuse
from handsfree.files.plain import NotPlain, plain_bytes
from handsfree.speaking.voices import VoiceName

if TYPE_CHECKING:
    from handsfree.task.model import Task
    from handsfree.task.proof.explore import Watch

_QUIET_S = 2.0  # a command that takes no longer shows nothing

TaskFile = Annotated[Path, typer.Argument(metavar="TASK", help="A task file (YAML).")]
VoiceOption = Annotated[
    VoiceName,
    typer.Option("--voice", help="Who speaks; 'natural' needs the extra natural-voice."),
]


def read_checked(path: Path) -> "tuple[Task, str]":
    """The task of a file, checked and proved, and the file's text."""
    from handsfree.task.read import read_and_prove

    text = text_of(path)
    with counting("Looking at every way", "situations") as watch:
        return read_and_prove(text, str(path), watch)[0], text


def text_of(path: Path, what: str = "a task file") -> str:
    """The text of a file that a person named; raises Misuse where it cannot be read."""
    try:
        text = content_of(path, what).decode("utf-8")
    except UnicodeDecodeError as error:
        raise Misuse(f"{path}: is not text in UTF-8. Name {what}.") from error
    return text.replace("\r\n", "\n").replace("\r", "\n")


def content_of(path: Path, what: str = "a task file") -> bytes:
    """The bytes of a plain file that a person named; raises Misuse, also where it is too large.

    What kinds of file are read is decided in `files/plain.py`.
    """
    try:
        return plain_bytes(path)
    except NotPlain as error:
        raise Misuse(f"{path}: {error.strerror}. Name {what}.") from error
    except OSError as error:
        raise Misuse(f"{path}: cannot be read ({error.strerror}). Name {what}.") from error


@contextmanager
def waiting(doing: str = "Loading the speech model") -> Iterator[None]:
    """Show on stderr that something takes its time."""
    from rich.console import Console

    with Console(stderr=True).status(doing):
        yield


@contextmanager
def counting(doing: str, what: str) -> "Iterator[Watch]":
    """Show on stderr what is done, and how many were found, once that has taken two seconds."""
    from rich.console import Console

    status = Console(stderr=True).status(doing)
    # By a timer, for some of it finds nothing that could be counted, such as reading a long file.
    begin = Timer(_QUIET_S, status.start)
    begin.daemon = True
    begin.start()
    try:
        yield lambda found: status.update(f"{doing}: {found:,} {what}")
    finally:
        begin.cancel()
        begin.join()
        status.stop()


def utc_now() -> datetime:
    """The time of day."""
    return datetime.now(UTC)


def local_now() -> datetime:
    """The time of day with the zone of the clock on the wall, which a record notes."""
    return datetime.now(UTC).astimezone()
