"""The file of the index: a DuckDB database that is made from the records, and from nothing else.

DuckDB can read and write any file and fetch extensions. All of that is switched off before anything
is read (`enable_external_access`), but for one empty folder that an export passes through; and
nothing of a record is ever part of a statement: it is bound.
"""

import os
import secrets
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import fields
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any, Self, get_type_hints

from handsfree.errors import HandsfreeError
from handsfree.files.plain import LARGEST_STREAM_BYTES, plain_bytes
from handsfree.index.tables import TABLES, RecordRow, Row

if TYPE_CHECKING:
    import duckdb

# Another one where a table or what is noted in it has changed: the index is then made anew.
VERSION = 3
_OURS = "handsfree index of records"
_MOST_MEMORY = "512MB"
_ROWS_AT_ONCE = 5000
# A remark of half an hour; one text of a record can have as much as its whole log.
_LONGEST_TEXT = 20_000
_TYPES = {
    str: "VARCHAR NOT NULL",
    bytes: "BLOB NOT NULL",
    int: "BIGINT NOT NULL",
    bool: "BOOLEAN NOT NULL",
    float: "DOUBLE NOT NULL",
    float | None: "DOUBLE",
}


class RowsUnfit(HandsfreeError):
    """The index cannot hold these rows."""

    def __init__(self, error: Exception) -> None:
        why = str(error).split("\n", 1)[0]
        super().__init__(
            f"the index cannot hold what the record says ({why}). Look at the record itself, by "
            "'verify' and 'page'."
        )


class IndexUnusable(HandsfreeError):
    """The file of the index cannot be used."""

    exit_code = 2

    def __init__(self, path: Path, why: str, instead: str) -> None:
        super().__init__(f"{path}: {why}. {instead}")


def _columns(table: type[Row]) -> dict[str, str]:
    hints = get_type_hints(table)
    return {each.name: _TYPES[hints[each.name]] for each in fields(table)}


def columns_of(table: str) -> tuple[str, ...]:
    """The names of the columns, in their order."""
    return tuple(_columns(TABLES[table]))


class Store:
    """The tables of an index, open for writing by this program alone."""

    def __init__(self, path: Path) -> None:
        """Open the index, or begin one where there is no file; raises IndexUnusable."""
        self.path = path
        is_new = not path.exists()
        if is_new:
            _make_private(path)
        self._passage = TemporaryDirectory(prefix="handsfree-")
        self._connection = _opened(path, self._passage.name)
        try:
            if is_new:
                self._begin()
            elif self._told("version") is None:
                why = "is a database of something else, and is left alone"
                raise IndexUnusable(path, why, "Name another file with --index")
            elif self._told("version") != str(VERSION):
                self.empty()
        except BaseException:
            self.close()
            if is_new:
                with suppress(OSError):
                    path.unlink()
            raise

    def empty(self) -> None:
        """Forget everything: it is made anew from the records."""
        for table in (*TABLES, "about"):
            self._connection.execute(f"DROP TABLE IF EXISTS {table}")
        self._begin()

    def _begin(self) -> None:
        self._connection.execute("CREATE TABLE about (name VARCHAR PRIMARY KEY, value VARCHAR)")
        for name, table in TABLES.items():
            columns = ", ".join(f"{each} {of}" for each, of in _columns(table).items())
            self._connection.execute(f"CREATE TABLE {name} ({columns})")
        self.tell("what", _OURS)
        self.tell("version", str(VERSION))

    def tell(self, name: str, value: str) -> None:
        """Note something about the index itself."""
        self._connection.execute("INSERT OR REPLACE INTO about VALUES (?, ?)", [name, value])

    def told(self, name: str) -> str:
        """What was noted about the index itself; "" where nothing was."""
        return self._told(name) or ""

    def _told(self, name: str) -> str | None:
        from duckdb import CatalogException

        try:
            found = self._connection.execute("SELECT name, value FROM about").fetchall()
        except CatalogException:
            return None
        about = dict(found)
        return about.get(name) if about.get("what") == _OURS else None

    def replace(self, gone: Sequence[str], rows: Iterable[Row]) -> None:
        """Put rows in the place of all that is noted of the records `gone`, or nothing at all.

        Raises RowsUnfit; an error of the disk is not about the rows, and is raised as it is.
        """
        import duckdb

        by_table: dict[str, list[Row]] = {name: [] for name in TABLES}
        names = {table: name for name, table in TABLES.items()}
        for row in rows:
            by_table[names[type(row)]].append(row)
        try:
            with self._transaction():
                for table in TABLES:
                    which = "id" if table == "records" else "record"
                    self._connection.execute(
                        f"DELETE FROM {table} WHERE {which} IN (SELECT unnest(?::VARCHAR[]))",
                        [list(gone)],
                    )
                for table, of_table in by_table.items():
                    if of_table:
                        self._insert(table, of_table)
        except duckdb.IOException:
            raise
        except duckdb.Error as error:
            raise RowsUnfit(error) from error

    def _insert(self, table: str, rows: Sequence[Row]) -> None:
        columns = _columns(TABLES[table])
        values = [[_storable(getattr(row, name)) for row in rows] for name in columns]
        lists = ", ".join(f"unnest(?::{of.removesuffix(' NOT NULL')}[])" for of in columns.values())
        self._connection.execute(f"INSERT INTO {table} SELECT {lists}", values)

    @contextmanager
    def _transaction(self) -> Iterator[None]:
        self._connection.begin()
        try:
            yield
        except BaseException:
            self._connection.rollback()
            raise
        self._connection.commit()

    def marks(self) -> dict[str, tuple[str, str]]:
        """By the id of each record its mark, and how it stood."""
        found = self._connection.execute("SELECT id, mark, stands FROM records").fetchall()
        return {name: (mark, stands) for name, mark, stands in found}

    def cursor(self) -> "Cursor":
        """To ask with, from one thread."""
        return Cursor(self._connection.cursor(), Path(self._passage.name))

    def close(self) -> None:
        """Let go of the file."""
        self._connection.close()
        self._passage.cleanup()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


class Cursor:
    """Asks an index. What it is asked with is bound, never written into the statement."""

    def __init__(self, connection: "duckdb.DuckDBPyConnection", passage: Path) -> None:
        self._connection = connection
        self._passage = passage

    def rows(self, sql: str, bound: Mapping[str, Any] | None = None) -> list[dict[str, Any]]:
        """Each row by the names of its columns."""
        found = self._connection.execute(sql, dict(bound or {}))
        names = [each[0] for each in found.description or ()]
        return [dict(zip(names, row, strict=True)) for row in found.fetchall()]

    def tuples(self, sql: str, bound: Mapping[str, Any] | None = None) -> Iterator[tuple[Any, ...]]:
        """Row by row, for there can be more than should be in memory at once."""
        found = self._connection.execute(sql, dict(bound or {}))
        while rows := found.fetchmany(_ROWS_AT_ONCE):
            yield from rows

    def one(self, sql: str, bound: Mapping[str, Any] | None = None) -> Any:
        """The one value that is asked for."""
        found = self._connection.execute(sql, dict(bound or {})).fetchone()
        assert found is not None
        return found[0]

    def parquet(self, sql: str, bound: Mapping[str, Any] | None = None) -> bytes:
        """What is asked for, as a Parquet file."""
        file = self._passage / f"{secrets.token_hex(8)}.parquet"
        target = str(file).replace("'", "''")
        self._connection.execute(f"COPY ({sql}) TO '{target}' (FORMAT parquet)", dict(bound or {}))
        try:
            return plain_bytes(file, LARGEST_STREAM_BYTES)
        finally:
            file.unlink()

    def record(self, name: str) -> RecordRow | None:
        """The record of this id."""
        found = self.rows("SELECT * FROM records WHERE id = $id", {"id": name})
        return RecordRow(**found[0]) if found else None

    def close(self) -> None:
        """Nothing more is asked."""
        self._connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def _storable(value: object) -> object:
    """Text as UTF-8 can hold it: half of a surrogate pair, which JSON can name, is written out.

    What is longer than people say or write is cut, and says so: the record has all of it.
    """
    if isinstance(value, str):
        if len(value) > _LONGEST_TEXT:
            value = f"{value[:_LONGEST_TEXT]}… (cut here: {len(value)} characters)"
        return value.encode("utf-8", "backslashreplace").decode()
    return value


def _make_private(path: Path) -> None:
    """It tells what people said, so nobody else may read it; raises IndexUnusable."""
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise _not_written(path, error) from error


def _opened(path: Path, passage: str) -> "duckdb.DuckDBPyConnection":
    import duckdb

    before = os.umask(0o077)
    try:
        connection = duckdb.connect(
            str(path),
            config={
                "autoinstall_known_extensions": "false",
                "autoload_known_extensions": "false",
                "memory_limit": _MOST_MEMORY,
            },
        )
        connection.execute("SET allowed_directories = [$passage]", {"passage": passage})
        connection.execute("SET enable_external_access = false")
        connection.execute("SET lock_configuration = true")
    except duckdb.IOException as error:
        if "lock" in str(error).lower():
            why = "another program has this index open"
            instead = "End the other 'handsfree records', or name another file with --index"
            raise IndexUnusable(path, why, instead) from error
        why = "is no index that can be read"
        raise IndexUnusable(path, why, "Remove it: it is made anew from the records") from error
    except (duckdb.Error, OSError) as error:
        why = "is no index that can be read"
        raise IndexUnusable(path, why, "Remove it: it is made anew from the records") from error
    finally:
        os.umask(before)
    return connection


def _not_written(path: Path, error: OSError) -> IndexUnusable:
    why = f"the index cannot be written there ({error.strerror or error})"
    return IndexUnusable(path, why, "Name another file with --index")
