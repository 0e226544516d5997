"""What jobs need besides code and models, so that a worker has it or is told that it has not."""

import hashlib
from dataclasses import dataclass

from handsfree.errors import HandsfreeError


@dataclass(frozen=True, slots=True)
class Needs:
    """What is needed for some jobs and not for others."""

    packages: tuple[str, ...] = ()  # of Python, or programs: in the same version as here
    # Of files that a job names by their SHA-256. Another machine does not have the file, and here
    # it may be another one by then; each worker gets it once, however many jobs name it.
    contents: tuple[bytes, ...] = ()


class NotBrought(HandsfreeError):
    """A job names the content of a file that this process was not given."""

    def __init__(self, sha256: str) -> None:
        super().__init__(
            f"The file with SHA-256 {sha256} was not brought to this worker. Begin again: what was "
            "done is not lost."
        )


_here: dict[str, bytes] = {}


def name_of(content: bytes) -> str:
    """By which a job names it: SHA-256, in hexadecimal."""
    return hashlib.sha256(content).hexdigest()


def bring(contents: tuple[bytes, ...]) -> None:
    """Have these in this process from now on."""
    _here.update((name_of(each), each) for each in contents)


def brought(sha256: str) -> bytes:
    """The content of that name; raises NotBrought."""
    if sha256 not in _here:
        raise NotBrought(sha256)
    return _here[sha256]
