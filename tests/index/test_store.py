"""The file of the index: ours alone, private, and with no way out of it."""

import stat
from pathlib import Path

import duckdb
import pytest

from handsfree.index import store as module
from handsfree.index.store import IndexUnusable, RowsUnfit, Store
from handsfree.index.tables import PersonRow
from tests.index.shelf import contents


def test_an_index_is_begun_where_there_is_none_and_only_its_owner_reads_it(tmp_path: Path) -> None:
    path = tmp_path / "new" / "index.duckdb"
    with Store(path) as store:
        store.replace([], [PersonRow("a", "T. Person", "did", 1)])
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700
    with Store(path) as store:
        assert contents(store)["people"] == [("a", "T. Person", "did", 1)]


def test_a_database_of_something_else_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "accounts.duckdb"
    with duckdb.connect(str(path)) as other:
        other.execute("CREATE TABLE about (name VARCHAR, value VARCHAR)")
        other.execute("CREATE TABLE records (paid INTEGER)")
        other.execute("INSERT INTO records VALUES (7)")
    with pytest.raises(IndexUnusable) as caught:
        Store(path)
    assert str(caught.value) == (
        f"{path}: is a database of something else, and is left alone. Name another file with "
        "--index"
    )
    with duckdb.connect(str(path)) as other:
        assert other.execute("SELECT paid FROM records").fetchall() == [(7,)]


def test_a_file_that_is_no_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    path.write_text("Dear all")
    with pytest.raises(IndexUnusable, match=r"letter\.txt: is no index that can be read\. Remove"):
        Store(path)
    assert path.read_text() == "Dear all"


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(IndexUnusable, match="the index cannot be written there"):
        Store(tmp_path / "file" / "index.duckdb")


def test_an_index_of_another_version_is_made_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Store(tmp_path / "index") as store:
        store.replace([], [PersonRow("a", "T. Person", "did", 1)])
    monkeypatch.setattr(module, "VERSION", module.VERSION + 1)
    with Store(tmp_path / "index") as store:
        assert contents(store)["people"] == []


def test_what_is_put_in_the_place_of_something_takes_all_of_its_place(tmp_path: Path) -> None:
    with Store(tmp_path / "index") as store:
        store.replace([], [PersonRow(each, "T. Person", "did", 1) for each in "ab"])
        store.replace(["a", "c"], [PersonRow("a", "Another", "did", 2)])
        assert contents(store)["people"] == [
            ("a", "Another", "did", 2),
            ("b", "T. Person", "did", 1),
        ]


def test_half_of_what_is_put_in_is_never_there(tmp_path: Path) -> None:
    with Store(tmp_path / "index") as store:
        store.replace([], [PersonRow("a", "T. Person", "did", 1)])
        with pytest.raises(RowsUnfit, match="the index cannot hold what the record says"):
            store.replace(["a"], [PersonRow("a", "Another", "did", 1 << 80)])
        assert contents(store)["people"] == [("a", "T. Person", "did", 1)]


@pytest.mark.parametrize(
    "sql",
    [
        "SELECT * FROM read_text('/etc/passwd')",
        "COPY (SELECT 1) TO '/tmp/handsfree-test.csv'",
        "ATTACH '/tmp/handsfree-test.duckdb'",
        "INSTALL httpfs",
        "LOAD fts",
        "SET enable_external_access = true",
        "SET allowed_directories = ['/']",
    ],
)
def test_no_statement_reaches_anything_but_the_index(tmp_path: Path, sql: str) -> None:
    with Store(tmp_path / "index") as store, store.cursor() as ask, pytest.raises(duckdb.Error):
        ask.rows(sql)


def test_a_text_without_measure_is_cut_and_says_so(tmp_path: Path) -> None:
    with Store(tmp_path / "index") as store:
        store.replace([], [PersonRow("a", "x" * 5_000_000, "did", 1)])
        [(_, person, _, _)] = contents(store)["people"]
    assert person == "x" * 20_000 + "… (cut here: 5000000 characters)"


@pytest.mark.parametrize("text", ["'; DROP TABLE people; --", "\ud800", "\x00", "💥", "'"])
def test_any_text_is_kept_as_text(tmp_path: Path, text: str) -> None:
    with Store(tmp_path / "index") as store:
        store.replace([], [PersonRow("a", text, text, 1)])
        [(_, person, did, _)] = contents(store)["people"]
    assert person == did == text.encode("utf-8", "backslashreplace").decode()
