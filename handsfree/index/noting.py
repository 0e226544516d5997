"""Note one record after the other; one that cannot be read is noted as one that cannot."""

import logging
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path

from handsfree.errors import HandsfreeError
from handsfree.files.plain import plain_bytes
from handsfree.index.folders import Place, mark_of
from handsfree.index.in_place import in_place
from handsfree.index.rows import not_read, rows_of
from handsfree.index.tables import Row
from handsfree.record.chain import read_chain
from handsfree.record.entries import LOG, TASK, NoRecord, read_entries
from handsfree.record.plain import refuse_what_is_not_plain
from handsfree.record.replay import replay
from handsfree.record.summary import summarise
from handsfree.record.trusted import Trusted
from handsfree.record.verify import verify
from handsfree.task.model import Task
from handsfree.task.read import read_task

_diagnostics = logging.getLogger(__name__)
# A whole day of talk is a tenth of it. All entries of a record are in memory while it is noted.
LARGEST_LOG = 32_000_000
_MOST_TASKS = 64


class TooLargeToIndex(HandsfreeError):
    """A log that would take too much memory."""

    def __init__(self, size: int) -> None:
        super().__init__(
            f"{LOG} has {size / 10**6:.0f} MB, and up to {LARGEST_LOG / 10**6:.0f} MB are indexed. "
            "Look at the record itself, by 'verify' and 'page'."
        )


@dataclass(frozen=True, slots=True)
class Trust:
    """Whose seals and whose time stamps count; as `verify` takes them."""

    key: str | None = None
    roots: Path | None = None
    trusted: Trusted | None = None

    @property
    def mark(self) -> str:
        """Another one wherever anything else is trusted; raises OSError."""
        roots = b"" if self.roots is None else plain_bytes(self.roots)
        return sha256(repr((self.key, roots, self.trusted)).encode()).hexdigest()


@dataclass(slots=True)
class Noting:
    """Notes one record after the other. Most are of few tasks, so what was read is kept."""

    trust: Trust
    _tasks: dict[str, Task] = field(default_factory=dict)

    def note(self, place: Place, mark: str | None = None) -> tuple[Row, ...]:
        """All rows of the record, the row of the record itself first; raises nothing of it.

        `mark` is what `mark_of` gave before.
        """
        mark = mark or mark_of(place.folder)
        try:
            with in_place(place.root, place.below):
                return self._noted(place, mark)
        except HandsfreeError as error:
            why = str(error)
        except Exception as error:
            # One record, made by whoever it was, must not keep a person from all the others.
            _diagnostics.exception("%s cannot be noted", place.folder)
            why = f"handsfree itself failed at it ({type(error).__name__}: {error})"
        return (not_read(place, mark, why),)

    def _noted(self, place: Place, mark: str) -> tuple[Row, ...]:
        folder = place.folder
        refuse_what_is_not_plain(folder)
        verified = verify(folder, self.trust.key, self.trust.roots, self.trust.trusted)
        try:
            size = (folder / LOG).lstat().st_size
        except OSError as error:
            raise NoRecord(folder) from error
        if size > LARGEST_LOG:
            raise TooLargeToIndex(size)
        task = self._task_of(folder)
        entries = tuple(read_entries(folder))
        differences = sum(len(turn.differences) for turn in replay(task, entries))
        summary = summarise(task, entries, verified, read_chain(folder).head, differences)
        return tuple(rows_of(place, mark, task, entries, summary))

    def _task_of(self, folder: Path) -> Task:
        text = _task_text(folder)
        name = sha256(text).hexdigest()
        if name not in self._tasks:
            if len(self._tasks) == _MOST_TASKS:
                self._tasks.clear()
            self._tasks[name] = _task(text, folder)
        return self._tasks[name]


def read_task_of(folder: Path) -> Task:
    """The task of a record; raises NoRecord or TaskFileError."""
    return _task(_task_text(folder), folder)


def _task_text(folder: Path) -> bytes:
    try:
        return plain_bytes(folder / TASK, follow=False)
    except OSError as error:
        raise NoRecord(folder) from error


def _task(text: bytes, folder: Path) -> Task:
    try:
        return read_task(text.decode(), str(folder / TASK))
    except UnicodeDecodeError as error:
        raise NoRecord(folder) from error
