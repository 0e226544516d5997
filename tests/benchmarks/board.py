"""Whether a board slows the run: `python -m tests.benchmarks.board`; prints a block for RESULTS.md.

The time from an answer that was heard to the moment the run listens again, of a whole task with its
record on disk, the voice left out: without a board, with one that nobody looks at, with as many
tablets as it takes, and with 500 who connect again and again from a process of their own. Some of
them read, some never read what they asked for, some ask for nothing, some guess the token, name
another host, or send headers without end.
"""

import asyncio
import multiprocessing
import os
import statistics
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

from handsfree.board.live import OpenBoard
from handsfree.board.site import MOST_STREAMS
from handsfree.record import Record
from handsfree.running.loop import run
from handsfree.running.parts import Follower, Utterance
from handsfree.task.read import read_task
from handsfree.words.phrases import PhraseSet
from tests.engine.conversation import BOTTLE, TO_END, heard
from tests.record.runs import NoScreen, Voice

SAID = (*TO_END, "pin removed")
_RUNS = 40
READERS = 500


class TimedEar:
    """Says the task through, and notes how long each answer took."""

    def __init__(self) -> None:
        self._said = iter(SAID)
        self._since: float | None = None
        self.took_ms: list[float] = []

    def hear(self, phrases: PhraseSet, until: timedelta | None = None) -> Utterance | None:
        now = time.perf_counter()
        if self._since is not None:
            self.took_ms.append((now - self._since) * 1000)
        words = next(self._said, None)
        self._since = time.perf_counter()
        return None if words is None else Utterance(heard(words), None, "test")


def answers_ms(folder: Path, boards: tuple[Follower, ...]) -> list[float]:
    """The time of each answer, over some runs."""
    task = read_task(BOTTLE, "task.yaml")
    took: list[float] = []
    for number in range(_RUNS):
        ear = TimedEar()
        began = time.monotonic()

        def since_start(began: float = began) -> timedelta:
            return timedelta(seconds=time.monotonic() - began)

        with Record(folder / str(number), BOTTLE, lambda: datetime.now(UTC), since_start) as record:
            run(task, ear, record, Voice(), NoScreen(), followers=boards)
        took += ear.took_ms
    return took


async def _reader(host: str, port: int, token: str, kind: int) -> None:
    """One of those who connect again and again."""
    cookie = f"Cookie: handsfree-board-{port}={token}\r\n"
    request = {
        0: f"GET /events HTTP/1.1\r\nHost: {host}\r\n{cookie}\r\n",
        1: f"GET /events HTTP/1.1\r\nHost: {host}\r\n{cookie}\r\n",  # and reads nothing
        2: "",  # and waits
        3: f"GET /?token=guess HTTP/1.1\r\nHost: {host}\r\n\r\n",
        4: f"GET / HTTP/1.1\r\nHost: evil.example\r\nOrigin: http://evil.example\r\n{cookie}\r\n",
        5: f"GET / HTTP/1.1\r\nHost: {host}\r\n{cookie}X: {'y' * 60_000}\r\n\r\n",
    }[kind]
    while True:
        try:
            reader, writer = await asyncio.open_connection(host, port)
            writer.write(request.encode())
            if kind in (1, 2):
                await asyncio.sleep(2)
            while await reader.read(65536):
                pass
            writer.close()
        except OSError:
            await asyncio.sleep(0.05)


def _crowd(host: str, port: int, token: str, readers: int, kinds: int) -> None:
    async def all_of_them() -> None:
        await asyncio.gather(*(_reader(host, port, token, n % kinds) for n in range(readers)))

    asyncio.run(all_of_them())


@contextmanager
def crowd(board: OpenBoard, readers: int, kinds: int) -> Iterator[None]:
    """So many readers, of the first so many kinds."""
    address, _, token = board.url.partition("/?token=")
    port = int(address.rsplit(":", 1)[1])
    process = multiprocessing.get_context("spawn").Process(
        target=_crowd, args=("127.0.0.1", port, token, readers, kinds), daemon=True
    )
    process.start()
    time.sleep(3)  # until they are there
    try:
        yield
    finally:
        process.kill()
        process.join()


def main() -> None:
    """Measure and print."""
    print(
        f"Measured on {datetime.now(UTC):%Y-%m-%d} on {os.cpu_count()} cores with "
        f"`python -m tests.benchmarks.board`, {_RUNS} runs each; milliseconds from an answer to "
        "the moment the run listens again.\n"
    )
    print("| board | answers | median | p95 | most |")
    print("|" + " --- |" * 5)
    with tempfile.TemporaryDirectory() as folder:
        _row("none", answers_ms(Path(folder) / "none", ()))
        with OpenBoard(read_task(BOTTLE, "task.yaml"), "0.0.0.0", 0) as board:
            _row("nobody looks", answers_ms(Path(folder) / "alone", (board.board,)))
            with crowd(board, MOST_STREAMS, 1):
                _row(f"{MOST_STREAMS} tablets", answers_ms(Path(folder) / "few", (board.board,)))
            with crowd(board, READERS, 6):
                _row(f"{READERS} at once", answers_ms(Path(folder) / "many", (board.board,)))


def _row(name: str, took: list[float]) -> None:
    p95 = statistics.quantiles(took, n=20)[-1]
    print(
        f"| {name} | {len(took)} | {statistics.median(took):.1f} | {p95:.1f} | {max(took):.1f} |",
        flush=True,
    )


if __name__ == "__main__":
    main()
