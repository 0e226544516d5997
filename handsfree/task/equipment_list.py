"""The list of tools that may be used, as the tool store keeps it: a CSV file.

Columns: serial, name, calibration due (a date as ISO 8601 writes it, or empty where nothing is to
be calibrated), status. CSV as in RFC 4180, with the line of headings. Reading is strict: a list
with one mistake is not used at all, for a tool whose line was passed over would seem to be unknown.
"""

import csv
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from handsfree.task.equipment import Equipment
from handsfree.task.expectations import IdentityExpected
from handsfree.task.model import Task
from handsfree.task.problems import Problem, TaskFileError

SERIAL, NAME, DUE, STATUS = "serial", "name", "calibration due", "status"
COLUMNS = (SERIAL, NAME, DUE, STATUS)
SERVICEABLE = "serviceable"
STATUSES = (SERVICEABLE, "unserviceable", "quarantined", "missing")

_SERIAL = re.compile(r"[A-Z0-9]+(-[A-Z0-9]+)*")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


class EquipmentListError(TaskFileError):
    """An equipment list that cannot be used. Holds every problem found."""


@dataclass(frozen=True, slots=True)
class ListedTool:
    """One line of the list."""

    serial: str  # as it is spoken: capital letters and figures, without hyphens
    name: str
    calibration_due: date | None  # the last day; None: nothing to calibrate
    status: str


def read_equipment(content: bytes, name: str) -> tuple[ListedTool, ...]:
    """The tools of a list; `name` is how errors call it. Raises EquipmentListError."""
    lines = csv.reader(_text(content, name).splitlines(keepends=True), strict=True)
    problems: list[Problem] = []
    tools: dict[str, ListedTool] = {}
    first: dict[str, int] = {}
    try:
        columns = _columns(next(lines, []), name)
        for cells in lines:
            line = lines.line_num
            if not any(each.strip() for each in cells):
                continue
            if len(cells) != len(columns):
                what = f"the line has {len(cells)} values for {len(columns)} columns"
                instead = "Write one value for each, and quote a value that has a comma in it"
                problems.append(Problem(line, 1, what, instead))
                continue
            row = {column: cell.strip() for column, cell in zip(columns, cells, strict=True)}
            found = list(_mistakes(row, line))
            serial = row[SERIAL].replace("-", "")
            if serial in first:
                what = f"serial '{row[SERIAL]}' is listed twice, first in line {first[serial]}"
                found.append(Problem(line, 1, what, "Keep the line that is right"))
            first.setdefault(serial, line)
            problems += found
            if not found:
                due = date.fromisoformat(row[DUE]) if row[DUE] else None
                tools[serial] = ListedTool(serial, row[NAME], due, row[STATUS])
    except csv.Error as error:
        what = f"the line is no CSV ({error})"
        problems.append(Problem(lines.line_num, 1, what, "Close each quote in its own line"))
    if problems:
        raise EquipmentListError(name, problems)
    return tuple(tools.values())


def check_fits(task: Task, tools: Iterable[ListedTool], name: str) -> None:
    """Raise EquipmentListError where the list has no tool for one that the task identifies."""
    listed = {_plain(each.name) for each in tools}
    wanted = [tool_of(task, step.expect) for step in task.steps]
    missing = dict.fromkeys(
        each.name for each in wanted if each is not None and _plain(each.name) not in listed
    )
    if missing:
        raise EquipmentListError(
            name,
            [
                Problem(1, 1, f"no tool is called '{each}', as the task calls it", _CALL_IT)
                for each in missing
            ],
        )


def tool_of(task: Task, expected: object) -> Equipment | None:
    """The equipment whose number is read by what a step expects; None: none."""
    if not isinstance(expected, IdentityExpected) or expected.tool is None:
        return None
    return next((each for each in task.equipment if each.id == expected.tool), None)


def same_name(one: str, other: str) -> bool:
    """Whether two names of a tool are one, whatever their capitals and spaces."""
    return _plain(one) == _plain(other)


_CALL_IT = "Add the tool, or call it in the list as the task does"


def _plain(name: str) -> str:
    return " ".join(name.casefold().split())


def _text(content: bytes, name: str) -> str:
    try:
        # Spreadsheet programs put a mark of byte order first.
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        column = error.start - content.rfind(b"\n", 0, error.start)
        what = f"byte {content[error.start]:#04x} is no text in UTF-8"
        problem = Problem(line, column, what, "Save the list as CSV in UTF-8")
        raise EquipmentListError(name, [problem]) from error


def _columns(heading: list[str], name: str) -> list[str]:
    columns = [" ".join(each.lower().split()) for each in heading]
    problems = [
        Problem(1, 1, f"column '{each}' is missing", f"Write the columns {', '.join(COLUMNS)}")
        for each in COLUMNS
        if each not in columns
    ]
    problems += [
        Problem(1, 1, f"column '{each}' is there twice", "Keep one of them")
        for each in dict.fromkeys(columns)
        if columns.count(each) > 1
    ]
    if problems:
        raise EquipmentListError(name, problems)
    return columns


def _mistakes(row: dict[str, str], line: int) -> Iterator[Problem]:
    if not _SERIAL.fullmatch(row[SERIAL]):
        what = f"serial '{row[SERIAL]}' cannot be read out letter by letter"
        instead = "Write capital letters, figures and hyphens, such as 'TW-31'"
        yield Problem(line, 1, what, instead)
    if not row[NAME]:
        yield Problem(line, 1, "the tool has no name", "Write the name that the task uses")
    if not row[NAME].isprintable():
        what = f"the name {row[NAME]!r} has a character that cannot be seen"
        yield Problem(line, 1, what, "Remove it, or write a plain space in its place")
    if row[DUE] and not _is_date(row[DUE]):
        what = f"'{row[DUE]}' is not a date of the calendar"
        yield Problem(line, 1, what, "Write year, month and day, such as 2031-05-04, or nothing")
    if row[STATUS] not in STATUSES:
        yield Problem(
            line, 1, f"'{row[STATUS]}' is not a status", f"Write one of {', '.join(STATUSES)}"
        )


def _is_date(text: str) -> bool:
    if not _DATE.fullmatch(text):
        return False
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True
