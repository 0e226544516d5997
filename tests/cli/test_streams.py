"""Commands with an output, an input or a terminal that is closed, full, or knows ASCII only."""

import json
import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from tests.shipped_tasks import FOLDER

ROOT = Path(__file__).parents[2]
TASK = FOLDER / "accumulator-nitrogen.yaml"
FULL = Path("/dev/full")


def handsfree(
    folder: Path, command: str, typed: bytes = b"", **environment: str
) -> "subprocess.CompletedProcess[str]":
    """A line for the shell, in which `handsfree` is this one."""
    called = f"{shlex.quote(sys.executable)} -m handsfree"
    return subprocess.run(
        ["/bin/sh", "-c", command.replace("handsfree", called, 1)],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
        input=typed.decode("latin-1"),
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )


def with_umlaut(folder: Path) -> Path:
    path = folder / "umlaut.yaml"
    text = TASK.read_text(encoding="utf-8").replace("title: Add", "title: Ädd")
    path.write_text(text, encoding="utf-8")
    return path


def run(folder: Path, redirected: str, typed: bytes = b"530604\naffirm\n") -> tuple[int, list[str]]:
    """The exit code, and the kinds of the entries of the record."""
    files = "--record run --speech-file speech.wav"
    command = f"handsfree run {shlex.quote(str(TASK))} --keyboard {files} {redirected}"
    done = handsfree(folder, command, typed)
    assert "Traceback" not in done.stdout + done.stderr
    lines = (folder / "run" / "log.jsonl").read_text(encoding="utf-8").splitlines()
    return done.returncode, [json.loads(line)["kind"] for line in lines]


def test_what_an_output_cannot_encode_is_written_out(tmp_path: Path) -> None:
    done = handsfree(tmp_path, f"handsfree show {with_umlaut(tmp_path)}", PYTHONIOENCODING="ascii")
    assert (done.returncode, done.stderr) == (0, "")
    assert "\\xc4dd nitrogen" in done.stdout


@pytest.mark.slow
@pytest.mark.parametrize(
    "redirected", ["<&-", ">&-", "2>&-", "<&- >&- 2>&-"], ids=["in", "out", "problems", "all"]
)
def test_a_run_with_a_closed_stream_goes_on(tmp_path: Path, redirected: str) -> None:
    code, kinds = run(tmp_path, redirected)
    assert code == 1  # nobody has ended the task
    assert kinds[-1] == "stopped"
    assert kinds.count("step-confirmed") == (0 if "<&-" in redirected else 1)


@pytest.mark.skipif(not FULL.exists(), reason="needs /dev/full")
def test_a_run_whose_problems_nobody_can_read_goes_on(tmp_path: Path) -> None:
    code, kinds = run(tmp_path, "2>/dev/full")
    assert (code, kinds.count("step-confirmed")) == (1, 1)


@pytest.mark.skipif(not FULL.exists(), reason="needs /dev/full")
@pytest.mark.parametrize("words", ["--help", "show TASK"])
def test_an_output_that_is_full_is_told_in_one_line(tmp_path: Path, words: str) -> None:
    command = words.replace("TASK", shlex.quote(str(TASK)))
    done = handsfree(tmp_path, f"handsfree {command} >/dev/full")
    assert done.returncode == 1
    assert done.stderr == (
        "The output cannot be written (No space left on device). Make room, or send it elsewhere.\n"
    )


@pytest.mark.skipif(not FULL.exists(), reason="needs /dev/full")
def test_a_refusal_that_nobody_can_read_still_has_its_exit_code(tmp_path: Path) -> None:
    assert handsfree(tmp_path, "handsfree check none.yaml 2>/dev/full").returncode == 2
    assert handsfree(tmp_path, "handsfree check none.yaml 2>&-").returncode == 2


def test_who_reads_only_the_beginning_is_told_of_no_mistake(tmp_path: Path) -> None:
    done = handsfree(tmp_path, "handsfree schema | head -1")
    assert (done.stdout, done.stderr) == ("{\n", "")


@pytest.mark.slow
def test_no_file_of_ours_takes_the_number_of_a_closed_stream(tmp_path: Path) -> None:
    """Else what is meant for a terminal would be written into it."""
    run(tmp_path, ">&- 2>&-")
    files = [path for path in (tmp_path / "run").iterdir() if path.is_file()]
    assert tmp_path / "run" / "log.jsonl" in files
    for path in files:
        assert b"handsfree " not in path.read_bytes()
