"""A record in forms that other programs and people read."""

from contextlib import suppress
from dataclasses import fields, replace
from pathlib import Path

import msgspec

from handsfree.errors import HandsfreeError
from handsfree.files.plain import LARGEST_STREAM_BYTES, plain_bytes
from handsfree.files.whole import write_new_files
from handsfree.record.chain import read_chain
from handsfree.record.clips import path_of
from handsfree.record.entries import LOG, TASK, read_entries, reading
from handsfree.record.limits_told import highest_told, lowest_told
from handsfree.record.readings import LoggedReading
from handsfree.record.replay import replay
from handsfree.record.reviews import Review
from handsfree.record.seal import SEAL
from handsfree.record.steps_done import COLUMNS, StepDone, cells, resolution_of, steps_done
from handsfree.record.summary import Summary, summarise, zone_of
from handsfree.record.summary_text import as_text
from handsfree.record.table import as_csv
from handsfree.record.values import JsonObject, fields_of
from handsfree.record.verify import Verified
from handsfree.task.model import Task

STEPS = "steps.csv"
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
    """Write steps and readings as CSV, the whole as JSON and the work summary into a new folder.

    `verified` is what `verify` found; it is told in the summary. Raises NoRecord,
    RecordUnreadable, EntryUnreadable or ExportNotWritten.
    """
    entries = tuple(read_entries(folder))
    differences = sum(len(turn.differences) for turn in replay(task, entries))
    summary = summarise(task, entries, verified, read_chain(folder).head, differences)
    rows = steps_done(folder, task, entries, summary.passes, zone_of(entries), verified.word)
    with reading(folder):
        whole = _whole(folder, verified, rows)
    contents = {
        STEPS: as_csv(COLUMNS, (cells(row, task) for row in rows)),
        READINGS: _readings(folder, task, summary),
        WHOLE: whole,
        SUMMARY: as_text(summary),
    }
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


_JOINED = ("record", "aircraft", "task", "revision")
_OF_A_READING = tuple(field.name for field in fields(LoggedReading) if field.name != "heard_in")
_WHO = ("person", "heard", "source")


def _readings(folder: Path, task: Task, summary: Summary) -> str:
    """Every reading, also those that did not count, and who said it."""
    joined = (folder.resolve().name, task.applicability.aircraft, task.task, task.revision)
    rows = []
    for each in summary.readings:
        said_by = None if each.heard_in is None else summary.said_by.get(each.heard_in)
        who = ("", "", "")
        if said_by is not None:
            who = (said_by.speaker.person, said_by.way.value, said_by.source)
        resolution = resolution_of(task, each.step)
        told = replace(
            each,
            lowest=lowest_told(each.lowest or None, resolution),
            highest=highest_told(each.highest or None, resolution),
            clip=str(path_of(folder, each.clip)) if each.clip else "",
        )
        rows.append((*joined, *(getattr(told, name) for name in _OF_A_READING), *who))
    return as_csv((*_JOINED, *_OF_A_READING, *_WHO), rows)


def _review(each: Review) -> JsonObject:
    """A supervisor's word, and whether it counts."""
    return {
        **fields_of(each.said),
        "by": each.by,
        "role": each.role,
        "stated": f"{each.said.by}, {each.said.role}",
        "took_part": list(each.took_part),
        "entry": each.entry,
        "utc": each.utc,
        "counts": each.counts,
        "why_not": each.why_not,
    }


def _whole(folder: Path, verified: Verified, rows: tuple[StepDone, ...]) -> str:
    """Task file, steps, entries and seals in one JSON object; the chain stays in the folder."""
    log = plain_bytes(folder / LOG, LARGEST_STREAM_BYTES)
    lines = log[: log.rfind(b"\n") + 1].splitlines()  # what a crash left half written is no entry
    seal = folder / SEAL
    whole = {
        "reviews": [_review(each) for each in verified.reviews],
        "task": plain_bytes(folder / TASK).decode(),
        "steps": rows,
        "entries": [msgspec.Raw(line) for line in lines],
        "seals": msgspec.json.decode(plain_bytes(seal))["seals"] if verified.seals else [],
        "problems": [str(problem) for problem in verified.problems],
    }
    return msgspec.json.format(msgspec.json.encode(whole), indent=2).decode() + "\n"
