"""Folders of records for the tests, and all that an index has of them."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import fields
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from handsfree.index.collection import Collection
from handsfree.index.folders import Place, records_below
from handsfree.index.indexing import Indexed, bring_up_to_date
from handsfree.index.noting import Noting, Trust
from handsfree.index.store import Store
from handsfree.index.tables import TABLES, RecordRow, Row
from tests.record.six_runs import RUNS

NOW = datetime(2031, 6, 1, 9, 30, tzinfo=UTC)


def six_runs(root: Path) -> Path:
    """The six runs that a supervisor must tell apart, each in a folder by its name."""
    for name, made in RUNS.items():
        made(root / name.replace(" ", "-"))
    return root


def noted(folder: Path, trust: Trust | None = None) -> tuple[Row, ...]:
    """All rows of one record."""
    return Noting(trust or Trust()).note(Place(os.fsencode(folder.name), folder))


def record_of(rows: tuple[Row, ...]) -> RecordRow:
    """The row of the record itself."""
    assert isinstance(rows[0], RecordRow)
    return rows[0]


def looked(store: Store, root: Path, trust: Trust | None = None) -> Indexed:
    """The index of the store, brought up to date."""
    return bring_up_to_date(store, root, trust or Trust())


def contents(store: Store) -> dict[str, list[tuple[Any, ...]]]:
    """All that the index has, but the marks, which tell of the files and not of what is in them."""
    with store.cursor() as ask:
        return {
            table: sorted(
                tuple(row[each.name] for each in fields(of) if each.name != "mark")
                for row in ask.rows(f"SELECT * FROM {table}")
            )
            for table, of in TABLES.items()
        }


@contextmanager
def collected(root: Path, index: Path) -> Iterator[Collection]:
    """A folder with its index, as it is served; nothing looks again by itself."""
    with Store(index) as store:
        collection = Collection(root, store, Trust(), lambda: NOW)
        collection.look()
        yield collection


def names_below(root: Path) -> list[str]:
    """Where records are found, by their places."""
    return [each.below.decode() for each in records_below(root).places]
