"""A file from outside is opened in one place, `files/plain.py`, which knows pipes and sizes.

What else opens a file is named here with the reason: it reads what comes with handsfree, or writes.
"""

import ast
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from handsfree.files.plain import NotPlain, open_plain, plain_bytes
from handsfree.record.chain import read_chain
from handsfree.record.entries import MOST_ENTRY_BYTES, EntryUnreadable, read_entries
from handsfree.record.verify import verify
from tests.record.runs import hold

PACKAGE = Path(__file__).parents[1] / "handsfree"
OPENS = {"open", "fdopen", "read_text", "read_bytes", "FileIO", "fromfile", "SoundFile", "ZipFile"}

OTHERS = {
    # What comes with handsfree, or was checked when it was put there.
    ("authoring/starter.py", 'Path(__file__).with_name("starter.yaml").read_text'),
    ("board/site.py", 'files("handsfree.board").joinpath("page", name).read_bytes'),
    ("cli/tasks.py", "(shipped_tasks() / each).read_bytes"),
    ("environment.py", "stamp.read_text"),
    ("environment.py", '(ROOT / "pyproject.toml").read_bytes'),
    ("hearing/likeness/ratio.py", "_FITTED.read_text"),
    ("hearing/score.py", "_FITTED.read_text"),
    ("hearing/vosk/model.py", '(folder / "conf/mfcc.conf").read_text'),  # was unpacked by us
    ("index/rendering.py", 'files("handsfree.index").joinpath("pages", "index.css").read_bytes'),
    ("page/page_html.py", 'files("handsfree.page").joinpath(name).read_text'),
    ("rehearse/bias.py", "_MEASURED.read_text"),
    ("rehearse/page_html.py", 'files("handsfree.rehearse").joinpath("page.css").read_text'),
    ("rehearse/pronunciations.py", "path.read_text"),
    ("speaking/built_in.py", "self._stderr.read_text"),
    # A folder, held open to see that it stays the same one.
    ("index/in_place.py", "os.open"),
    # Written, not read.
    ("cli/terminal.py", "os.open"),
    ("cli/streams.py", "open"),
    ("cli/streams.py", "os.open"),
    ("hearing/models/installing.py", "path.open"),
    ("hearing/models/unpacking.py", "target.open"),
    ("record/files.py", "os.open"),
    ("speaking/built_in.py", "self._stderr.open"),
    ("speaking/to_file.py", "path.open"),
    ("speaking/to_file.py", "wave.open"),
    ("speaking/voice_process.py", "os.fdopen"),
    ("files/whole.py", "os.open"),
    ("files/whole.py", "os.fdopen"),
    # What the door has opened.
    ("hearing/clips.py", "io.FileIO"),
    ("page/sounds.py", "soundfile.SoundFile"),
    ("hearing/models/installing.py", "zipfile.ZipFile"),
    ("hearing/models/unpacking.py", "member.open"),
    ("hearing/models/unpacking.py", "archive.open"),
}


def opened() -> Iterator[tuple[str, str]]:
    """Each call that may open a file: where, and what is called."""
    for path in sorted(PACKAGE.rglob("*.py")):
        name = path.relative_to(PACKAGE).as_posix()
        if name == "files/plain.py":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call):
                called = node.func
                last = called.attr if isinstance(called, ast.Attribute) else ast.unparse(called)
                if last in OPENS and ast.unparse(called) != "microphone.open":
                    yield name, ast.unparse(called)


@pytest.mark.slow
def test_what_else_opens_a_file_is_known_and_why() -> None:
    found = {(name, called.replace("'", '"')) for name, called in opened()}
    assert found - OTHERS == set()


def test_no_exception_outlives_its_reason() -> None:
    found = {(name, called.replace("'", '"')) for name, called in opened()}
    assert OTHERS - found == set()


def pipe(folder: Path) -> Path:
    os.mkfifo(folder / "pipe")
    return folder / "pipe"


@pytest.mark.parametrize("made", [pipe, lambda _: Path("/dev/zero")], ids=["pipe", "device"])
def test_the_door_waits_for_no_pipe_and_reads_no_device(
    tmp_path: Path, made: Callable[[Path], Path]
) -> None:
    with pytest.raises(NotPlain, match="is no plain file"):
        open_plain(made(tmp_path))


def sparse(path: Path, size: int) -> Path:
    with path.open("wb") as file:
        file.truncate(size)
    return path


def test_the_door_reads_up_to_a_size_and_says_which(tmp_path: Path) -> None:
    assert plain_bytes(sparse(tmp_path / "a", 10), most=10) == bytes(10)
    with pytest.raises(NotPlain, match="is larger than 1e-05 MB"):
        plain_bytes(sparse(tmp_path / "a", 11), most=10)
    with pytest.raises(NotPlain, match=r"is larger than 1073\.74 MB"):
        open_plain(sparse(tmp_path / "a", 1 << 40))


def test_a_log_of_one_line_without_end_is_told(tmp_path: Path) -> None:
    hold(tmp_path / "run", keys=None)
    log = tmp_path / "run" / "log.jsonl"
    entries = read_chain(tmp_path / "run").entries
    with log.open("ab") as file:
        file.truncate(log.stat().st_size + MOST_ENTRY_BYTES + (1 << 23))
    assert f"entry {entries}: is no entry" in str(verify(tmp_path / "run").problems[0])
    with pytest.raises(EntryUnreadable, match="it is longer than 32 MB"):
        list(read_entries(tmp_path / "run"))
