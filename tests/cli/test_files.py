"""A file that a person names is a plain one of a bounded size, or one line says what it is."""

import os
from pathlib import Path

import pytest

from handsfree.cli.common import content_of, text_of
from handsfree.errors import Misuse
from handsfree.files.plain import LARGEST_BYTES
from tests.cli.command import handsfree
from tests.shipped_tasks import FOLDER

TASK = str(FOLDER / "accumulator-nitrogen.yaml")
NAMED = {
    "check": (("check", "FILE"), "a task file"),
    "show": (("show", "FILE"), "a task file"),
    "run": (("run", "FILE", "--keyboard"), "a task file"),
    "roster": (("run", TASK, "--keyboard", "--roster", "FILE"), "a roster"),
    "equipment": (("run", TASK, "--keyboard", "--equipment", "FILE"), "an equipment list"),
    "import": (("import", "FILE", "--to", "new.yaml"), "a data module"),
}


@pytest.mark.parametrize(("words", "what"), NAMED.values(), ids=NAMED)
@pytest.mark.parametrize("kind", ["pipe", pytest.param("device", marks=pytest.mark.slow)])
def test_what_is_no_plain_file_is_not_read(
    tmp_path: Path, words: tuple[str, ...], what: str, kind: str
) -> None:
    path = tmp_path / "pipe.yaml"
    if kind == "pipe":
        os.mkfifo(path)
    else:
        path.symlink_to("/dev/zero")
    given = [str(path) if each == "FILE" else each for each in words]
    done = handsfree(*given, folder=tmp_path)
    assert done.returncode == 2
    assert done.stderr.endswith(f"{path}: is no plain file. Name {what}.\n")
    assert not (tmp_path / "new.yaml").exists()


def test_a_file_that_is_too_large_is_not_read_to_its_end(tmp_path: Path) -> None:
    path = tmp_path / "sparse.yaml"
    with path.open("wb") as file:
        file.truncate(10**12)
    with pytest.raises(Misuse, match=r"sparse.yaml: is larger than 16 MB. Name a roster"):
        content_of(path, "a roster")
    assert LARGEST_BYTES < 10**12


@pytest.mark.parametrize(("name", "why"), [("", "Is a directory"), ("gone", "No such file")])
def test_a_file_that_cannot_be_read_says_why(tmp_path: Path, name: str, why: str) -> None:
    with pytest.raises(Misuse, match=rf"cannot be read \({why}.*\)\. Name a task file"):
        content_of(tmp_path / name)


def test_line_breaks_of_other_systems_are_read_as_ours(tmp_path: Path) -> None:
    path = tmp_path / "breaks.txt"
    path.write_bytes(b"one\r\ntwo\rthree\n")
    assert text_of(path) == "one\ntwo\nthree\n"
