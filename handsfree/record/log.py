"""The log: append only, one canonical JSON entry a line, on disk before it is answered."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Self

import rfc8785

from handsfree.errors import HandsfreeError
from handsfree.record.chain import BEGINNING, link
from handsfree.record.entries import LOG, NoRecord
from handsfree.record.files import Files, write_whole
from handsfree.record.marks import TailCut
from handsfree.record.repair import repair
from handsfree.record.seal import Seal
from handsfree.record.values import Json, JsonObject, fields_of, kind_of

UtcClock = Callable[[], datetime]  # aware, in any zone: the record holds UTC
Stopwatch = Callable[[], timedelta]  # monotonic, from the start of the run

_MS = timedelta(milliseconds=1)


class RecordInUse(HandsfreeError):
    """Another program writes to the record."""

    def __init__(self, folder: Path) -> None:
        super().__init__(
            f"{folder}: another program writes to this record, and it has one writer at a time. "
            "Wait until the other one ends."
        )


class RecordNotWritten(HandsfreeError):
    """The record cannot be written; nothing more may be acknowledged."""

    def __init__(self, path: Path, error: OSError) -> None:
        super().__init__(
            f"{path}: cannot be written ({error.strerror or error}). The task holds here, for "
            "nothing more could be proved. What was acknowledged before is on the record. Make "
            "room or mend the disk, and go on with 'handsfree run --resume'."
        )


class Log:
    """The open log of a record; it has one writer, and no entry is ever changed.

    After one failure it takes nothing more: how much of that write is on disk is not known, and
    the next `fsync` may report a success that this one has lost.
    """

    def __init__(
        self, descriptor: int, folder: Path, utc_now: UtcClock, since_start: Stopwatch, files: Files
    ) -> None:
        """`descriptor` is open at the end of the log and locked. Use `begin` or `reopen`."""
        self.entries = 0
        self.head = BEGINNING  # SHA-256 of the last line
        self._descriptor = descriptor
        self._folder = folder
        self._utc_now = utc_now
        self._since_start = since_start
        self._files = files
        self._before = timedelta(0)  # running time of the programs before this one
        self._is_whole = True
        self._cut: TailCut | None = None
        self._cut_at = 0  # where in the file it stands

    @classmethod
    def begin(cls, folder: Path, utc_now: UtcClock, since_start: Stopwatch, files: Files) -> Self:
        """A new, empty log; raises OSError where there can be no file, else RecordNotWritten."""
        log = cls(files.create(folder / LOG), folder, utc_now, since_start, files)
        with closed_on_error(log, folder):
            files.lock(log._descriptor)
            files.sync_folder(folder)
            files.sync_folder(folder.parent)
        return log

    @classmethod
    def reopen(cls, folder: Path, utc_now: UtcClock, since_start: Stopwatch, files: Files) -> Self:
        """The log of an earlier run, which must be mended next; nobody else can write it from now.

        Raises NoRecord, RecordInUse or RecordNotWritten.
        """
        try:
            descriptor = files.open_to_append(folder / LOG)
        except (FileNotFoundError, NotADirectoryError) as error:
            raise NoRecord(folder) from error
        except OSError as error:
            raise RecordNotWritten(folder / LOG, error) from error
        log = cls(descriptor, folder, utc_now, since_start, files)
        with closed_on_error(log, folder):
            try:
                files.lock(descriptor)
            except BlockingIOError as error:
                raise RecordInUse(folder) from error
        return log

    def mend(self, seals: tuple[Seal, ...]) -> None:
        """Find what a crash left half written, to be told by `tell_of_cut`; see `repair`."""
        repaired = repair(self._folder, seals, self._descriptor, self._files)
        self.entries = repaired.chain.entries
        self.head = repaired.chain.head
        self._before = repaired.chain.offset_ms * _MS
        self._cut = repaired.cut
        self._cut_at = repaired.chain.size_bytes

    def tell_of_cut(self) -> None:
        """Write what was cut over itself, if anything was; raises RecordNotWritten or OSError.

        The entry is longer than what it tells of, so nothing of that is left after it.
        """
        if self._cut is None:
            return
        if self._cut_at == 0:
            self.append(self._cut)  # the record was opened anew, where the torn line stood
        else:
            over = self._files.open_to_write_over(self._folder / LOG, self._cut_at)
            try:
                self._put(self._line(self._cut, {}), over)
            finally:
                self._files.close(over)
        self._cut = None

    @property
    def running_time(self) -> timedelta:
        """How long the task has been running, over all its programs."""
        return self._before + self._since_start()

    def utc(self) -> str:
        """Now, as the record writes it."""
        now = self._utc_now()
        if now.utcoffset() is None:
            raise ValueError("the clock of a record must know its zone")
        return now.astimezone(UTC).isoformat(timespec="milliseconds")

    def zone(self) -> str:
        """How far the clock on the wall is ahead of UTC now, such as "+02:00"."""
        offset = f"{self._utc_now():%z}"
        return f"{offset[:3]}:{offset[3:5]}"

    def append(self, value: object, **more: Json) -> None:
        """Write a dataclass value as the next entry and return when it is on disk.

        Raises RecordNotWritten; the caller must then acknowledge nothing more.
        """
        self._put(self._line(value, more), self._descriptor)

    def append_signed(self, value: object, sign: Callable[[JsonObject], str]) -> None:
        """As `append`; `sign` is given the whole entry, and its answer is the `signature` in it."""
        entry = self._entry(value, {})
        signed = entry | {"signature": sign(entry)}
        self._put(rfc8785.dumps(signed), self._descriptor)

    def _line(self, value: object, more: JsonObject) -> bytes:
        return rfc8785.dumps(self._entry(value, more))

    def _entry(self, value: object, more: JsonObject) -> JsonObject:
        return {
            **fields_of(value),
            **more,
            "seq": self.entries,
            "kind": kind_of(value),
            "utc": self.utc(),
            "offset_ms": round(self.running_time / _MS),
            "prev": self.head,
        }

    def _put(self, line: bytes, descriptor: int) -> None:
        try:
            if not self._is_whole:
                raise OSError("an earlier entry could not be written")
            self._is_whole = False
            write_whole(self._files, descriptor, line + b"\n")
            self._files.sync(descriptor)
        except OSError as error:
            raise RecordNotWritten(self._folder / LOG, error) from error
        self._is_whole = True
        self.entries += 1
        self.head = link(line)

    def close(self) -> None:
        """Let go of the file; every entry is on disk already. Closing twice is safe."""
        if self._descriptor >= 0:
            descriptor, self._descriptor = self._descriptor, -1
            self._files.close(descriptor)


@contextmanager
def closed_on_error(log: Log, path: Path) -> Iterator[None]:
    """Close the log, and so unlock it, if anything is raised; an OSError as RecordNotWritten."""
    try:
        yield
    except OSError as error:
        log.close()
        raise RecordNotWritten(path, error) from error
    except BaseException:
        log.close()
        raise
