"""What several commands do: read a task file, show that something takes its time, tell the day."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from handsfree.errors import Misuse
from handsfree.speaking.voices import VoiceName

if TYPE_CHECKING:
    from handsfree.task.model import Task

TaskFile = Annotated[Path, typer.Argument(metavar="TASK", help="A task file (YAML).")]
VoiceOption = Annotated[
    VoiceName,
    typer.Option("--voice", help="Who speaks; 'natural' needs the extra natural-voice."),
]


def read_checked(path: Path) -> "tuple[Task, str]":
    """The task of a file, checked and proved, and the file's text."""
    from handsfree.task.read import read_task

    text = text_of(path)
    return read_task(text, str(path)), text


def text_of(path: Path) -> str:
    """The text of a file that a person named; raises Misuse where it cannot be read."""
    from handsfree.task.source import LARGEST_CHARACTERS

    try:
        with path.open(encoding="utf-8") as file:
            # One character more is enough to see that a file is too large, however large it is.
            return file.read(LARGEST_CHARACTERS + 1)
    except OSError as error:
        raise Misuse(f"{path}: cannot be read ({error.strerror}). Name a task file.") from error
    except UnicodeDecodeError as error:
        raise Misuse(f"{path}: is not text in UTF-8. Name a task file.") from error


@contextmanager
def waiting(doing: str = "Loading the speech model") -> Iterator[None]:
    """Show on stderr that something takes its time."""
    from rich.console import Console

    with Console(stderr=True).status(doing):
        yield


def utc_now() -> datetime:
    """The time of day."""
    return datetime.now(UTC)
