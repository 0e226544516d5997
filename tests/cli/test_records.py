"""The command for many records, as a person meets it."""

import csv
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from handsfree.index.serving import OpenList
from tests.cli.test_record import Terminal
from tests.record.runs import KEYS, hold
from tests.record.test_keys import with_pass_phrase


@pytest.fixture
def handsfree(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> Terminal:
    monkeypatch.delenv("HANDSFREE_TRUSTED", raising=False)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))
    return Terminal(monkeypatch, capsys, tmp_path / "keys")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    hold(tmp_path / "records" / "2031" / "run")
    hold(tmp_path / "records" / "stopped", ("pin fitted",))
    return tmp_path / "records"


def test_a_table_of_many_records_is_exported_and_the_index_is_in_the_cache(
    handsfree: Terminal,
    folder: Path,
    tmp_path: Path,
) -> None:
    done = handsfree("records", folder, "--export", tmp_path / "steps.csv")
    assert done.code == 0, done.err
    [index] = (tmp_path / "cache" / "handsfree" / "records").iterdir()
    assert stat.S_IMODE(index.stat().st_mode) == 0o600
    told = done.out.splitlines()
    assert told[0] == f"index: {index} (made from the records; it may be removed at any time)"
    assert told[1].startswith(f"{folder}: 2 records, 2 new or changed, read in ")
    assert told[2] == str(tmp_path / "steps.csv")
    with (tmp_path / "steps.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(row["record_name"], row["step"]) for row in rows] == [
        ("2031/run", "pin"),
        ("2031/run", "pressure"),
        ("stopped", "pin"),
        ("stopped", "pressure"),
    ]
    again = handsfree("records", folder, "--export", tmp_path / "a.parquet", "--table", "said")
    assert again.out.splitlines()[1] == f"{folder}: 2 records, none new or changed"
    anew = handsfree("records", folder, "--export", tmp_path / "b.parquet", "--anew")
    assert "2 new or changed" in anew.out


def test_no_record_is_changed_by_being_indexed(
    handsfree: Terminal,
    folder: Path,
    tmp_path: Path,
) -> None:
    before = {each: each.lstat() for each in folder.rglob("*")}
    assert handsfree("records", folder, "--export", tmp_path / "steps.csv").code == 0
    after = {each: each.lstat() for each in folder.rglob("*")}
    assert {each: (of.st_mtime_ns, of.st_size) for each, of in before.items()} == {
        each: (of.st_mtime_ns, of.st_size) for each, of in after.items()
    }


def test_the_list_is_served_until_ctrl_c(
    handsfree: Terminal,
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def interrupted(_: OpenList) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(OpenList, "wait", interrupted)
    done = handsfree("records", folder, "--port", "0")
    assert done.code == 0
    assert done.out.splitlines()[2].startswith("records: http://127.0.0.1:")
    assert "token" not in done.out
    elsewhere = handsfree("records", folder, "--port", "0", "--host", "0.0.0.0")
    assert "/?token=" in elsewhere.out


def test_whose_seals_count_is_as_for_verify(
    handsfree: Terminal,
    folder: Path,
    tmp_path: Path,
) -> None:
    def stands(*more: str, to: str) -> set[str]:
        asked = ("--export", tmp_path / to, "--table", "records")
        assert handsfree("records", folder, *asked, *more).code == 0
        with (tmp_path / to).open(newline="") as file:
            return {row["stands"] for row in csv.DictReader(file)}

    assert stands(to="a.csv") == {"finished", "not finished"}
    assert stands("--key", KEYS.public, to="b.csv") == {"finished", "not finished"}
    assert stands("--key", "0" * 64, to="c.csv") == {"does not verify"}


def test_what_makes_no_sense_is_told(
    handsfree: Terminal,
    folder: Path,
    tmp_path: Path,
) -> None:
    def told(*words: str | Path) -> str:
        done = handsfree("records", *words)
        assert done.code == 2
        return done.err

    inside = folder / "stopped" / "index.duckdb"
    assert told(folder, "--index", inside) == (
        f"{inside}: lies in the record {folder / 'stopped'}, and nothing is put into a record. "
        "Name another file with --index.\n"
    )
    assert not inside.exists()
    assert told(folder, "--index", folder / "stopped") == (
        f"{folder / 'stopped'}: is a record, and nothing is put into a record. Name another file "
        "with --index.\n"
    )
    assert "is no folder. Name the folder that holds the records." in told(tmp_path / "none")
    assert "there is no table 'rows'. There is: records, steps," in told(
        folder, "--export", "a.csv", "--table", "rows"
    )
    assert "--table goes with --export" in told(folder, "--table", "steps")
    assert "an export is not served" in told(folder, "--export", "a.csv", "--port", "1")
    assert "cannot be read (No such file or directory)" in told(folder, "--roots", tmp_path / "no")
    assert "needs a name that ends in .csv or .parquet" in told(folder, "--export", "a.txt")


def test_an_index_in_the_folder_of_the_records_is_no_record(
    handsfree: Terminal,
    folder: Path,
    tmp_path: Path,
) -> None:
    asked = ("--index", folder / "index.duckdb", "--export")
    assert handsfree("records", folder, *asked, tmp_path / "a.csv").code == 0
    again = handsfree("records", folder, *asked, tmp_path / "b.csv")
    assert "2 records, none new or changed" in again.out


def test_two_programs_do_not_write_one_index(
    handsfree: Terminal,
    folder: Path,
    tmp_path: Path,
) -> None:
    """DuckDB locks its file for a process; another one is told so."""
    index = tmp_path / "index.duckdb"
    hold_it = (
        "import sys\nfrom pathlib import Path\nfrom handsfree.index.store import Store\n"
        "with Store(Path(sys.argv[1])):\n    print('open', flush=True)\n    sys.stdin.read()\n"
    )
    other = subprocess.Popen(
        [sys.executable, "-c", hold_it, str(index)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=Path(__file__).parents[2],
    )
    assert other.stdout is not None
    assert other.stdout.readline() == "open\n"
    done = handsfree("records", folder, "--index", index, "--export", tmp_path / "a.csv")
    other.communicate("")
    assert (done.code, done.err) == (
        2,
        f"{index}: another program has this index open. End the other 'handsfree records', or "
        "name another file with --index\n",
    )


def test_with_a_key_the_address_has_a_token_and_the_pass_phrase_is_asked_once(
    handsfree: Terminal,
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def interrupted(_: OpenList) -> None:
        raise KeyboardInterrupt

    asked: list[str] = []

    def typed() -> str:
        asked.append("the pass phrase")
        return "correct horse"

    monkeypatch.setattr(OpenList, "wait", interrupted)
    monkeypatch.setattr("handsfree.cli.keys_given.ask_pass_phrase", typed)
    assert handsfree("keys", "new", "--name", "Vera Holm", "--keys", handsfree.keys).code == 0
    with_pass_phrase(handsfree.keys, b"correct horse")
    done = handsfree(
        "records", folder, "--port", "0", "--reviewer-key", handsfree.keys / "private.pem"
    )
    assert done.code == 0, done.err
    assert "/?token=" in done.out
    assert asked == ["the pass phrase"]
    elsewhere = handsfree("records", folder, "--reviewer-key", handsfree.keys, "--host", "0.0.0.0")
    assert elsewhere.code == 2
    assert "a word is signed on the machine that has the key. Leave out --host." in elsewhere.err


def test_a_pass_phrase_is_typed_at_a_terminal_or_not_at_all(
    handsfree: Terminal, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    handsfree("keys", "new", "--name", "Vera Holm", "--keys", handsfree.keys)
    with_pass_phrase(handsfree.keys, b"correct horse")
    monkeypatch.setattr(sys.stdin, "isatty", lambda: False)
    done = handsfree("records", folder, "--reviewer-key", handsfree.keys)
    assert done.code == 2
    assert done.err == ("the key has a pass phrase, and there is no terminal to type it at.\n")
