"""After a crash: the line that was being written is cut, and nothing else is ever mended."""

from dataclasses import dataclass
from pathlib import Path

import msgspec

from handsfree.errors import HandsfreeError
from handsfree.record.chain import Chain, read_chain
from handsfree.record.clips import folder_of, name_of
from handsfree.record.entries import LOG, NOT_JSON, TASK, NoRecord, read_entry
from handsfree.record.files import PART, Files, put
from handsfree.record.marks import TailCut
from handsfree.record.seal import Seal
from handsfree.record.values import as_json, kind_named

# Holds what was cut until the cut is on the log, so that a crash in between does not lose it.
TORN = "log.torn"


class RecordDamaged(HandsfreeError):
    """More is wrong with a record than a crash can do."""

    def __init__(self, folder: Path, entry: int, why: str) -> None:
        super().__init__(
            f"{folder}, entry {entry}: {why}. A crash does not do that, so nothing is mended. "
            "Keep the record as it is, tell your supervisor, and begin a new one."
        )


@dataclass(frozen=True, slots=True)
class Repaired:
    """A log that ends with a whole entry, and what had to be cut for that."""

    chain: Chain
    cut: TailCut | None  # still to be put on the log; then `forget_cut`


def repair(folder: Path, seals: tuple[Seal, ...], log: int, files: Files) -> Repaired:
    """Cut the torn end of the log that is open, and locked, as `log`.

    Raises RecordDamaged where anything else is wrong, and then changes nothing; or OSError.
    """
    chain = read_chain(folder, {seal.entries: seal.head for seal in seals})
    torn = _torn(folder, chain)
    _check(folder, chain, seals)
    for part in (*folder.glob(f"*{PART}"), *folder_of(folder).glob(f"*{PART}")):
        files.remove(part)
    kept = folder / TORN
    earlier = kept.read_bytes() if kept.exists() else b""
    if torn:
        put(files, kept, earlier + torn)
        files.truncate(log, chain.size_bytes)
        files.sync(log)
    content = earlier + torn
    cut = TailCut(len(content), content.decode("ascii", "backslashreplace")) if content else None
    if cut is not None and not torn and _is_on_log(cut, chain):
        forget_cut(folder, files)
        cut = None
    return Repaired(chain, cut)


def forget_cut(folder: Path, files: Files) -> None:
    """What was cut is on the log: it need not be kept beside it any more."""
    files.remove(folder / TORN)


def _torn(folder: Path, chain: Chain) -> bytes:
    """The bytes after the last whole entry. They were never acknowledged: no newline, or no JSON.

    Where blocks reach the disk out of order, a crash can leave the newline of a line without the
    rest of it; so a last line that is no JSON at all counts as torn as well.
    """
    if chain.broken is None:
        return chain.tail
    with (folder / LOG).open("rb") as log:
        log.seek(chain.size_bytes)
        line, more = log.readline(), log.read(1)
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
        task = name_of((folder / TASK).read_bytes())
    except FileNotFoundError as error:
        raise NoRecord(folder) from error
    if chain.opened is not None and chain.opened.task_sha256 != task:
        raise RecordDamaged(folder, 0, f"was written with another {TASK}")


def _is_on_log(cut: TailCut, chain: Chain) -> bool:
    last = read_entry(chain.last, chain.entries - 1) if chain.last else None
    return (
        last is not None
        and last.kind == kind_named(TailCut)
        and last.fields["content"] == as_json(cut.content)
    )
