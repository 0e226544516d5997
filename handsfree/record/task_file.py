"""The task that a record was opened with, from the copy in its folder."""

from pathlib import Path
from typing import TYPE_CHECKING

from handsfree.files.plain import plain_bytes
from handsfree.record.entries import TASK, NoRecord
from handsfree.record.plain import refuse_what_is_not_plain

if TYPE_CHECKING:
    from handsfree.task.model import Task


def read_task_of(record: Path) -> "Task":
    """The task of the record in that folder; raises NotPlain, NoRecord or TaskFileError."""
    from handsfree.task.read import read_task

    refuse_what_is_not_plain(record)
    path = record / TASK
    try:
        return read_task(plain_bytes(path, follow=False).decode(), str(path))
    except (OSError, UnicodeDecodeError) as error:
        raise NoRecord(record) from error
