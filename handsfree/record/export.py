"""A record in forms that other programs and people read."""

from contextlib import suppress
from pathlib import Path

import msgspec

from handsfree.errors import HandsfreeError
from handsfree.plain_file import LARGEST_STREAM_BYTES, plain_bytes
from handsfree.record.chain import read_chain
from handsfree.record.entries import LOG, TASK, read_entries, reading
from handsfree.record.readings import as_csv
from handsfree.record.replay import replay
from handsfree.record.seal import SEAL
from handsfree.record.summary import summarise
from handsfree.record.summary_text import as_text
from handsfree.record.verify import Verified
from handsfree.task.model import Task
from handsfree.whole_file import write_new_files

READINGS = "readings.csv"
WHOLE = "record.json"
SUMMARY = "work-summary.md"


class ExportNotWritten(HandsfreeError):
    """The export cannot be put there."""

    exit_code = 2

    def __init__(self, folder: Path, error: OSError) -> None:
        super().__init__(
            f"{folder}: the export cannot be written there ({error.strerror or error}). Name a "
            "new folder; nothing is written over."
        )


def export(folder: Path, task: Task, verified: Verified, to: Path) -> tuple[Path, ...]:
    """Write the readings as CSV, the whole as JSON and the work summary into a new folder.

    `verified` is what `verify` found; it is told in the summary. Raises NoRecord,
    RecordUnreadable, EntryUnreadable or ExportNotWritten.
    """
    entries = tuple(read_entries(folder))
    differences = sum(len(turn.differences) for turn in replay(task, entries))
    summary = summarise(task, entries, verified, read_chain(folder).head, differences)
    with reading(folder):
        whole = _whole(folder, verified)
    contents = {READINGS: as_csv(summary.readings), WHOLE: whole, SUMMARY: as_text(summary)}
    try:
        to.mkdir(parents=True)
        try:
            write_new_files((to / name, content.encode()) for name, content in contents.items())
        except OSError:
            with suppress(OSError):
                to.rmdir()
            raise
    except OSError as error:
        raise ExportNotWritten(to, error) from error
    return tuple(to / name for name in contents)


def _whole(folder: Path, verified: Verified) -> str:
    """Task file, entries and seals in one JSON object; the chain stays checkable in the folder."""
    log = plain_bytes(folder / LOG, LARGEST_STREAM_BYTES)
    lines = log[: log.rfind(b"\n") + 1].splitlines()  # what a crash left half written is no entry
    seal = folder / SEAL
    whole = {
        "task": plain_bytes(folder / TASK).decode(),
        "entries": [msgspec.Raw(line) for line in lines],
        "seals": msgspec.json.decode(plain_bytes(seal))["seals"] if verified.seals else [],
        "problems": [str(problem) for problem in verified.problems],
    }
    return msgspec.json.format(msgspec.json.encode(whole), indent=2).decode() + "\n"
