"""A record while it is written: the log, the task, the clips and the seals in one folder."""

from dataclasses import dataclass
from datetime import timedelta
from importlib.metadata import version
from pathlib import Path
from typing import Self

from handsfree.errors import HandsfreeError
from handsfree.files.plain import plain_bytes
from handsfree.hearing.audio import Audio
from handsfree.record.chain import read_chain
from handsfree.record.clips import KeptClip, encode_flac, folder_of, keep, name_of
from handsfree.record.entries import TASK
from handsfree.record.files import Files, SystemFiles, put
from handsfree.record.keys import Keys
from handsfree.record.log import Log, RecordNotWritten, Stopwatch, UtcClock, closed_on_error
from handsfree.record.marks import RecordOpened, Resumed, Reviewed, Way
from handsfree.record.plain import refuse_what_is_not_plain
from handsfree.record.seal import SEAL, Seal, add, read_seals, sign, write_seals
from handsfree.record.signed_word import signer
from handsfree.record.time_stamp import TIME_STAMP
from handsfree.record.values import Json
from handsfree.record.vouching import wrong_with_seal


class RecordExists(HandsfreeError):
    """The folder is not free for a new record."""

    def __init__(self, folder: Path) -> None:
        super().__init__(
            f"{folder}: something is there already, and a record is never written over. "
            "Name another folder with --record."
        )


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What a run is done with, as far as whoever reads its record must know it."""

    task: str = ""  # its name, and its revision
    revision: str = ""
    heard: Way | None = None
    models: tuple[tuple[str, str], ...] = ()  # each file that listens, and its SHA-256
    clock_rate: int = 1  # more: a trial, whose times go so many times as fast


_NOT_TOLD = Circumstances()


class Record:
    """A record that is being written. Whatever it returns from is on disk."""

    def __init__(
        self,
        folder: Path,
        task_text: str,
        utc_now: UtcClock,
        since_start: Stopwatch,
        keys: Keys | None = None,
        files: Files | None = None,
        circumstances: Circumstances = _NOT_TOLD,
    ) -> None:
        """Begin in `folder`, which must be new or empty; it is sealed if there are `keys`.

        Raises RecordExists, or RecordNotWritten if the folder cannot be made.
        """
        files = files or SystemFiles()
        try:
            if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
                raise RecordExists(folder)
            files.make_folder(folder_of(folder))
            put(files, folder / TASK, task_text.encode())
            log = Log.begin(folder, utc_now, since_start, files)
        except OSError as error:
            raise RecordNotWritten(folder, error) from error
        self._attach(folder, log, (), keys, files, circumstances)

    @classmethod
    def go_on(
        cls,
        folder: Path,
        utc_now: UtcClock,
        since_start: Stopwatch,
        keys: Keys | None = None,
        files: Files | None = None,
        circumstances: Circumstances = _NOT_TOLD,
    ) -> Self:
        """Go on with the record in `folder`; what a crash left half written is cut, and that told.

        Raises NotPlain, NoRecord, RecordInUse, SealUnreadable, RecordDamaged where more than the
        end is wrong, or RecordNotWritten.
        """
        refuse_what_is_not_plain(folder)
        record = cls.__new__(cls)
        files = files or SystemFiles()
        log = Log.reopen(folder, utc_now, since_start, files)
        with closed_on_error(log, folder):
            seals = read_seals(folder)
            log.mend(seals)
        record._attach(folder, log, seals, keys, files, circumstances)
        return record

    def _attach(
        self,
        folder: Path,
        log: Log,
        seals: tuple[Seal, ...],
        keys: Keys | None,
        files: Files,
        circumstances: Circumstances,
    ) -> None:
        self.folder = folder
        self._log = log
        self._seals = seals
        self._keys = keys
        self._files = files
        self._circumstances = circumstances
        with closed_on_error(log, folder):
            if log.entries == 0:
                task = name_of(plain_bytes(folder / TASK))
                log.append(self._opened(task))
            log.tell_of_cut()

    @property
    def by(self) -> str | None:
        """Who works, as their key names them."""
        return None if self._keys is None else self._keys.name

    def _opened(self, task_sha256: str) -> RecordOpened:
        now = self._circumstances
        return RecordOpened(
            version("handsfree"),
            task_sha256,
            self.by,
            task=now.task,
            revision=now.revision,
            heard=now.heard,
            models=now.models,
            zone=self._log.zone(),
            clock_rate=now.clock_rate,
        )

    def tell_of_resuming(self, step: str) -> None:
        """Put on the record that the run goes on at `step`, and with what; see `append`."""
        now = self._circumstances
        zone = self._log.zone()
        self.append(Resumed(step, self.by, version("handsfree"), now.heard, now.models, zone))

    def running_time(self) -> timedelta:
        """How long the task has been running, over all its programs; a `Stopwatch`."""
        return self._log.running_time

    def append(self, value: object, **more: Json) -> None:
        """Write a dataclass value as the next entry and return when it is on disk.

        Raises RecordNotWritten; the caller must then acknowledge nothing more.
        """
        self._log.append(value, **more)

    def append_word(self, said: Reviewed) -> None:
        """Write a supervisor's word, signed with the keys of the record; see `append`."""
        if self._keys is None:
            raise ValueError("a word without a key is nobody's")
        self._log.append_signed(said, signer(self._keys))

    def keep_clip(self, audio: Audio) -> KeptClip:
        """Keep the sound of an utterance; raises RecordNotWritten."""
        try:
            return keep(self.folder, encode_flac(audio), self._files)
        except OSError as error:
            raise RecordNotWritten(folder_of(self.folder), error) from error

    def seal(self) -> None:
        """Vouch for all that is on the record, if there are keys; raises RecordNotWritten.

        A time stamp goes: it was over the seal before. Whoever asks for a seal alone, and not for
        work to go on, asks `refuse_to_lose_time_stamp` first.
        """
        if self._keys is None:
            return
        seal = sign(self._keys, self._log.entries, self._log.head, self._log.utc())
        try:
            self._seals = add(self._seals, seal)
            self._files.remove(self.folder / TIME_STAMP)
            write_seals(self.folder, self._seals, self._files)
        except OSError as error:
            raise RecordNotWritten(self.folder / SEAL, error) from error

    def seal_afterwards(self) -> bool:
        """As `seal`, by somebody who was not there; whether it was sealed.

        It is not where the work has seals and they do not reach its end: anybody could have
        appended the rest, and whoever removes sound or judges must not vouch for it by the way.
        """
        chain = read_chain(self.folder, {seal.entries: seal.head for seal in self._seals})
        holding = [seal for seal in self._seals if wrong_with_seal(seal, chain) is None]
        covered = max((seal.entries for seal in holding), default=0)
        was_with_key = chain.opened is not None and chain.opened.by is not None
        if covered <= chain.worked_to and (self._seals or was_with_key):
            return False
        self.seal()
        return True

    def remove_clip(self, path: Path) -> None:
        """Remove a clip whose removal is on the log already; raises RecordNotWritten."""
        try:
            self._files.remove(path)
        except OSError as error:
            raise RecordNotWritten(path, error) from error

    def close(self) -> None:
        """Let go of the log."""
        self._log.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()
