"""The command line, called as often as a test likes, each time in a process of its own.

Each is forked from one that has imported what the commands import, for that takes longer than
most of them. That a command begins from nothing as well is tested in `test_streams.py`,
`test_offline.py` and `tests/running`, which start `python -m handsfree`.
"""

import atexit
import gc
import json
import os
import signal
import socket
import subprocess
import sys
from contextlib import ExitStack
from functools import cache
from importlib import import_module
from pathlib import Path
from tempfile import TemporaryFile
from typing import TypedDict

ROOT = Path(__file__).parents[2]
PATIENCE_S = 120
# What commands import where they need it, but no speech engine: those start threads.
_WARM = (
    *("authoring.data_module", "authoring.new_file", "authoring.schema", "board.live", "cli.app"),
    *("record.export", "record.verify", "rehearse", "review.sheet", "review.sheet_html"),
    *("review.sheet_text", "running.ears", "running.live", "running.loop", "running.screen"),
    *("speaking.choose", "task.checks.advice", "task.checks.answers", "task.equipment_list"),
    *("task.read", "task.roster"),
)
_LARGEST_ORDER = 100_000


class _Order(TypedDict):
    """What to call; the files that it reads and writes come with it."""

    words: list[str]
    folder: str
    environment: dict[str, str]


def handsfree(
    *words: str | Path, typed: str = "", folder: Path = ROOT
) -> subprocess.CompletedProcess[str]:
    """`handsfree` with these words, as a shell calls it, with what is typed on standard input."""
    given = [str(each) for each in words]
    with ExitStack() as files:
        read, shown, problems = (files.enter_context(TemporaryFile()) for _ in range(3))
        read.write(typed.encode())
        read.seek(0)
        order = _Order(words=given, folder=str(folder), environment=dict(os.environ))
        asked = json.dumps(order).encode()
        assert len(asked) < _LARGEST_ORDER
        numbers = [each.fileno() for each in (read, shown, problems)]
        socket.send_fds(_warm_process(), [asked], numbers)
        status = int(_warm_process().recv(100))
        told = []
        for each in (shown, problems):
            each.seek(0)
            told.append(each.read().decode().replace(os.linesep, "\n"))
    return subprocess.CompletedProcess(given, status, *told)


@cache
def _warm_process() -> socket.socket:
    own, other = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
    number = other.fileno()
    command = [sys.executable, "-m", "tests.cli.command", str(number)]
    process = subprocess.Popen(command, cwd=ROOT, pass_fds=(number,), stdin=subprocess.DEVNULL)
    other.close()

    def end() -> None:
        own.close()
        process.wait()

    atexit.register(end)
    return own


def _answer(orders: socket.socket) -> None:
    """Call what is asked for until nobody asks; returns in each child, which is to call it."""
    while True:
        asked, files, _, _ = socket.recv_fds(orders, _LARGEST_ORDER, 3)
        if not asked:
            raise SystemExit
        child = os.fork()
        if not child:
            orders.close()
            _become(json.loads(asked), files)
            return
        for each in files:
            os.close(each)
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        orders.send(str(status).encode())


def _become(order: _Order, files: list[int]) -> None:
    for own, number in zip(files, (0, 1, 2), strict=True):
        os.dup2(own, number)
        os.close(own)
    os.chdir(order["folder"])
    os.environ.clear()
    os.environ.update(order["environment"])
    sys.argv = ["handsfree", *order["words"]]
    signal.alarm(PATIENCE_S)


def _get_warm() -> None:
    for name in _WARM:
        import_module(f"handsfree.{name}")
    from handsfree.rehearse import confusable_phrases
    from handsfree.task.read import read_task

    file = ROOT / "tasks" / "accumulator-nitrogen.yaml"
    # Reads the pronouncing dictionary, and compares the words that every task has.
    confusable_phrases(read_task(file.read_text(encoding="utf-8"), str(file)))
    gc.freeze()  # so that no child looks through all that it was given


if __name__ == "__main__":
    _get_warm()
    _answer(socket.socket(fileno=int(sys.argv[1])))
    from handsfree.cli.app import main

    main()
