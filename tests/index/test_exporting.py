"""Tables of many records: complete, inert in a spreadsheet, and the same in both forms."""

import csv
import io
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import duckdb
import pytest

from handsfree.errors import Misuse
from handsfree.index.exporting import ExportNotWritten, Table, content_of, write_table
from handsfree.index.filters import Filters
from handsfree.index.store import Cursor, Store
from handsfree.index.tables import PersonRow
from tests.index.shelf import contents, looked
from tests.index.test_runs import RECORD


@pytest.fixture(scope="module")
def store(six: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with Store(tmp_path_factory.mktemp("export") / "index") as opened:
        looked(opened, six)
        yield opened


@pytest.fixture
def ask(store: Store) -> Iterator[Cursor]:
    with store.cursor() as cursor:
        yield cursor


def csv_of(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode())))


@pytest.mark.parametrize("table", Table)
def test_both_forms_have_every_row_in_one_order(
    store: Store, ask: Cursor, table: Table, tmp_path: Path
) -> None:
    """Parquet is read back by a DuckDB that knows nothing of ours."""
    as_csv = csv_of(content_of(ask, table, Filters(), "csv"))
    (tmp_path / "a.parquet").write_bytes(content_of(ask, table, Filters(), "parquet"))
    read = duckdb.read_parquet(str(tmp_path / "a.parquet"))
    names, found = read.columns, read.fetchall()
    assert list(as_csv[0]) == names
    assert len(found) == len(as_csv) == len(contents(store)[table.value])
    first = "name" if table is Table.RECORDS else "record_name"
    assert [row[names.index(first)] for row in found] == [row[first] for row in as_csv]
    assert not {"id", "place", "mark", "rank"} & set(names)


def test_only_what_the_filters_leave_is_exported(ask: Cursor) -> None:
    found = csv_of(content_of(ask, Table.RECORDS, Filters(open="yes"), "csv"))
    assert [each["name"] for each in found] == ["deferral"]


def test_an_undone_step_says_so_in_the_table(ask: Cursor) -> None:
    rows = csv_of(content_of(ask, Table.STEPS, Filters(), "csv"))
    torque = [each for each in rows if each["record_name"] == "undone" and each["step"] == "torque"]
    assert [(each["value"], each["undone"]) for each in torque] == [("15", "yes"), ("16", "no")]


def test_no_cell_is_a_formula(tmp_path: Path) -> None:
    """OWASP, "CSV Injection" (from memory)."""
    with Store(tmp_path / "index") as opened:
        hostile = replace(RECORD, id="a", name="=cmd|' /C calc'!A0", title="@SUM(1)\nx")
        opened.replace([], [hostile, PersonRow("a", "x", "did", 1)])
        with opened.cursor() as cursor:
            [row] = csv_of(content_of(cursor, Table.RECORDS, Filters(), "csv"))
    assert row["name"].startswith("'=")
    assert row["title"] == "'@SUM(1)\\nx"


@pytest.mark.parametrize("name", ["steps.csv", "steps.PARQUET"])
def test_a_table_is_written_to_a_new_file(ask: Cursor, tmp_path: Path, name: str) -> None:
    write_table(ask, Table.STEPS, Filters(), tmp_path / name)
    assert (tmp_path / name).stat().st_size > 0
    with pytest.raises(ExportNotWritten, match="Name a new file with --export; nothing is written"):
        write_table(ask, Table.STEPS, Filters(), tmp_path / name)


def test_another_form_is_refused(ask: Cursor, tmp_path: Path) -> None:
    with pytest.raises(Misuse, match=r"needs a name that ends in \.csv or \.parquet"):
        write_table(ask, Table.STEPS, Filters(), tmp_path / "steps.xlsx")
    assert not list(tmp_path.iterdir())
