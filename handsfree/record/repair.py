"""After a crash: the line that was being written is cut, and nothing else is ever mended."""

from dataclasses import dataclass
from pathlib import Path

import msgspec

from handsfree.errors import HandsfreeError
from handsfree.files.plain import open_plain, plain_bytes
from handsfree.record.chain import Chain, read_chain
from handsfree.record.clips import folder_of, name_of
from handsfree.record.entries import LOG, MOST_ENTRY_BYTES, NOT_JSON, TASK, NoRecord
from handsfree.record.files import PART, Files
from handsfree.record.marks import TailCut
from handsfree.record.seal import Seal


class RecordDamaged(HandsfreeError):
    """More is wrong with a record than a crash can do."""

    def __init__(self, folder: Path, entry: int, why: str) -> None:
        super().__init__(
            f"{folder}, entry {entry}: {why}. A crash does not do that, so nothing is mended. "
            "Keep the record as it is, tell your supervisor, and begin a new one."
        )


@dataclass(frozen=True, slots=True)
class Repaired:
    """A log that ends with a whole entry, but for what a crash left after it."""

    chain: Chain
    cut: TailCut | None  # to be written over what is left


def repair(folder: Path, seals: tuple[Seal, ...], log: int, files: Files) -> Repaired:
    """Look for the torn end of the log that is open, and locked, as `log`.

    The torn bytes stay where they are until the entry that tells of them is written over them: no
    crash in between can lose the fact, and no other file has to be believed. Raises RecordDamaged
    where anything else is wrong, and then changes nothing; or OSError.
    """
    chain = read_chain(folder, {seal.entries: seal.head for seal in seals})
    torn = _torn(folder, chain)
    _check(folder, chain, seals)
    for part in (*folder.glob(f"*{PART}"), *folder_of(folder).glob(f"*{PART}")):
        files.remove(part)
    if torn and not chain.entries:
        files.truncate(log, 0)  # of a record that was never opened, nothing is there to be told of
        files.sync(log)
    elif torn.endswith(b"\n"):
        # Half of another line written over this one would else be two lines.
        files.truncate(log, chain.size_bytes + len(torn) - 1)
        files.sync(log)
    content = torn.decode("ascii", "backslashreplace")
    return Repaired(chain, TailCut(len(torn), content) if torn else None)


def _torn(folder: Path, chain: Chain) -> bytes:
    """The bytes after the last whole entry. They were never acknowledged: no newline, or no JSON.

    Where blocks reach the disk out of order, a crash can leave the newline of a line without the
    rest of it; so a last line that is no JSON at all counts as torn as well.
    """
    if chain.broken is None:
        return chain.tail
    with open_plain(folder / LOG) as log:
        log.seek(chain.size_bytes)
        line, more = log.readline(MOST_ENTRY_BYTES), log.read(1)
    if chain.broken.entry == chain.entries and not more and not _is_json(line):
        return line
    raise RecordDamaged(folder, chain.broken.entry, chain.broken.why)


def _is_json(line: bytes) -> bool:
    try:
        msgspec.json.decode(line)
    except NOT_JSON:
        return False
    return True


def _check(folder: Path, chain: Chain, seals: tuple[Seal, ...]) -> None:
    for seal in seals:
        if seal.entries > chain.entries:
            raise RecordDamaged(folder, chain.entries, "was sealed and is missing")
        if chain.heads.get(seal.entries) != seal.head:
            raise RecordDamaged(folder, seal.entries - 1, "is not what was sealed")
    try:
        task = name_of(plain_bytes(folder / TASK))
    except FileNotFoundError as error:
        raise NoRecord(folder) from error
    if chain.opened is not None and chain.opened.task_sha256 != task:
        raise RecordDamaged(folder, 0, f"was written with another {TASK}")
