"""Tables of many records, for a spreadsheet (CSV) or for a program (Parquet)."""

from enum import Enum
from pathlib import Path
from typing import Any

from handsfree.errors import HandsfreeError, Misuse
from handsfree.files.whole import write_new_files
from handsfree.index.filters import Filters
from handsfree.index.store import Cursor, columns_of
from handsfree.record.table import as_csv


class Table(Enum):
    """What can be exported: a row for each of these, of every record."""

    RECORDS = "records"
    STEPS = "steps"
    READINGS = "readings"
    SAID = "said"
    FINDINGS = "findings"
    EYES = "eyes"


class ExportNotWritten(HandsfreeError):
    """The table cannot be put there."""

    exit_code = 2

    def __init__(self, path: Path, error: OSError) -> None:
        super().__init__(
            f"{path}: the table cannot be written there ({error.strerror or error}). Name a new "
            "file with --export; nothing is written over."
        )


# What only the index itself needs, and the floats that pictures are drawn from.
_INTERNAL = frozenset({"id", "place", "mark", "rank", "record", "pass_number"})
_OF_RECORD = ("name", "aircraft", "task", "revision", "stands", "review")


def content_of(ask: Cursor, table: Table, filters: Filters, form: str) -> bytes:
    """The rows of the records that the filters leave, as "csv" or "parquet"."""
    sql, bound = _statement(table, filters)
    if form == "parquet":
        return ask.parquet(sql, bound)
    rows = (tuple(map(_cell, row)) for row in ask.tuples(sql, bound))
    return as_csv(_columns(table), rows).encode()


def write_table(ask: Cursor, table: Table, filters: Filters, to: Path) -> None:
    """Write the table to a new file; its name tells the form. Raises Misuse, ExportNotWritten."""
    form = to.suffix.lower().removeprefix(".")
    if form not in ("csv", "parquet"):
        raise Misuse(f"{to}: the table needs a name that ends in .csv or .parquet.")
    content = content_of(ask, table, filters, form)
    try:
        write_new_files([(to, content)])
    except OSError as error:
        raise ExportNotWritten(to, error) from error


def _columns(table: Table) -> tuple[str, ...]:
    own = tuple(
        each
        for each in columns_of(table.value)
        if each not in _INTERNAL and not each.endswith("_drawn")
    )
    return own if table is Table.RECORDS else ("record_name", *_OF_RECORD[1:], *own)


def _statement(table: Table, filters: Filters) -> tuple[str, dict[str, str]]:
    where = f"{filters.of_record} AND {filters.of_day('r')}"
    if table is Table.RECORDS:
        columns = ", ".join(f"r.{each}" for each in _columns(table))
        return f"SELECT {columns} FROM records r WHERE {where} ORDER BY r.name", (
            filters.bound(where)
        )
    of_record = ", ".join(f"r.{each}" for each in _OF_RECORD[1:])
    own = ", ".join(f"x.{each}" for each in _columns(table)[len(_OF_RECORD) :])
    order = {"steps": "x.pass_number", "findings": "x.number"}.get(table.value, "x.entry")
    return (
        f"SELECT r.name AS record_name, {of_record}, {own} FROM {table.value} x "
        f"JOIN records r ON r.id = x.record WHERE {where} ORDER BY r.name, {order}",
        filters.bound(where),
    )


def _cell(value: Any) -> str | int:
    match value:
        case None:
            return ""
        case bool():
            return "yes" if value else "no"
        case int():
            return value
    return str(value)
