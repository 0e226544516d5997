"""A new task file on disk. What is there already is never touched."""

from pathlib import Path

from handsfree.errors import HandsfreeError
from handsfree.files.whole import write_new_files


class TaskFileNotWritten(HandsfreeError):
    """The new task file cannot be what, or where, it was asked to be."""

    exit_code = 2


def write_new(path: Path, text: str) -> None:
    """Write a task file that is not there yet; an existing one is never touched.

    It is written whole or not at all. Raises TaskFileNotWritten where it cannot be, and says what
    to do.
    """
    if path.suffix.lower() not in (".yaml", ".yml"):
        raise TaskFileNotWritten(f"{path}: a task file needs a name that ends in .yaml.")
    try:
        write_new_files([(path, text.encode())])
    except FileExistsError as error:
        raise TaskFileNotWritten(
            f"{path}: is there already, and nothing was written. Choose another name."
        ) from error
    except FileNotFoundError as error:
        raise TaskFileNotWritten(
            f"{path}: there is no folder '{path.parent}'. Make it first, or choose another."
        ) from error
    except OSError as error:
        raise TaskFileNotWritten(
            f"{path}: cannot be written ({error.strerror}). Choose another place."
        ) from error
