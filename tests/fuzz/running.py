"""What reaches a run: its record when it is taken up, what is typed, and what a browser sends."""

import io
import json
import logging
import shutil
import socket
from contextlib import suppress
from pathlib import Path
from random import Random

import rfc8785

from handsfree.board.feed import Feed
from handsfree.board.live import view_as_json
from handsfree.board.site import board_site
from handsfree.errors import HandsfreeError
from handsfree.record import Record
from handsfree.record.chain import BEGINNING, link
from handsfree.record.entries import read_entries
from handsfree.record.replay import left_off, replay
from handsfree.record.summary import summarise
from handsfree.record.summary_text import as_text
from handsfree.record.verify import verify
from handsfree.running.ears import KeyboardEar
from handsfree.running.loop import run
from handsfree.serving import server
from handsfree.serving.server import bind
from handsfree.task.read import read_task
from tests.board.following import at
from tests.fuzz.family import DataLost, Family, Verdict
from tests.fuzz.mutate import NASTY, bytes_changed, tree_changed
from tests.record.runs import KEYS, SMALL, SMALL_SAID, Clock, NoScreen, NoSync, Voice, go_on, hold


class Records(Family):
    """A record with entries, seals or clips changed: verified, replayed, summed up, gone on with.

    What was acknowledged is never altered: each whole line of the log stays as it was.
    """

    name = "log entries"

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self._good = folder / "good"
        hold(self._good, SMALL_SAID[:2], keys=KEYS)
        self._lines = (self._good / "log.jsonl").read_bytes().splitlines()
        self._files = sorted(
            each.relative_to(self._good) for each in self._good.rglob("*") if each.is_file()
        )

    def make(self, random: Random) -> bytes:
        way = random.random()
        if way < 0.5:
            return b"log.jsonl\n" + self._chained(random)
        if way < 0.8:
            return b"log.jsonl\n" + bytes_changed((self._good / "log.jsonl").read_bytes(), random)
        file = random.choice(self._files)
        changed = bytes_changed((self._good / file).read_bytes(), random)
        return str(file).encode() + b"\n" + changed

    def _chained(self, random: Random) -> bytes:
        """Changed entries, with a chain that is right: anybody can make one."""
        entries = [json.loads(line) for line in self._lines]
        entries = tree_changed(entries, random)
        if not isinstance(entries, list):
            return b""
        head, log = BEGINNING, b""
        for entry in entries:
            if isinstance(entry, dict):
                entry["prev"] = head
            try:
                line = rfc8785.dumps(entry)
            except (rfc8785.CanonicalizationError, RecursionError, UnicodeError):
                line = json.dumps(entry).encode("utf-8", "replace")
            head = link(line)
            log += line + b"\n"
        return log

    def use(self, content: bytes, random: Random) -> Verdict:
        name, _, changed = content.partition(b"\n")
        folder = self.folder / "run"
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(self._good, folder)
        (folder / name.decode()).write_bytes(changed)
        log = folder / "log.jsonl"
        before = log.read_bytes()
        refused: HandsfreeError | None = None
        try:
            task = read_task((folder / "task.yaml").read_text("utf-8", "replace"), "task.yaml")
        except HandsfreeError:
            task = read_task(SMALL, "task.yaml")
        for does in (
            lambda: verify(folder),
            lambda: list(replay(task, read_entries(folder))),
            lambda: left_off(task, read_entries(folder)),
            lambda: as_text(summarise(task, read_entries(folder), verify(folder), "")),
            lambda: self._go_on(folder),
        ):
            try:
                does()
            except HandsfreeError as error:
                refused = refused or error
        acknowledged = before[: before.rfind(b"\n") + 1]
        if not log.read_bytes().startswith(acknowledged):
            raise DataLost("a whole line of the log was altered")
        if refused is not None:
            raise refused
        return Verdict.TAKEN

    def _go_on(self, folder: Path) -> None:
        try:
            (folder / "task.yaml").read_text(encoding="utf-8")
        except UnicodeDecodeError:
            return  # only the reader of these tests meets that
        with suppress(StopIteration):  # its person knows no answer to what was made up
            go_on(folder, keys=KEYS)


class TypedLines(Family):
    """A run at a keyboard: each line is on the record, which can be verified and replayed."""

    name = "typed lines"
    words = (
        *SMALL_SAID,
        "affirm",
        "stand by",
        "go ahead",
        "unable",
        "say again",
        "back to step one",
    )

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self._task = read_task(SMALL, "task.yaml")

    def make(self, random: Random) -> bytes:
        lines = []
        for _ in range(random.randrange(1, 12)):
            line = random.choice((*self.words, *self.words, *NASTY)).encode(
                "utf-8", "surrogatepass"
            )
            if random.random() < 0.3:
                line = bytes_changed(line, random)
            if random.random() < 0.1:
                line = random.choice((b"1:", b"2:", b"3:", b"9:", b" 2 :")) + line
            lines.append(line)
        return b"\n".join(lines) + random.choice((b"\n", b"", b"\r\n"))

    def use(self, content: bytes, random: Random) -> Verdict:
        folder = self.folder / "run"
        shutil.rmtree(folder, ignore_errors=True)
        typed = io.TextIOWrapper(io.BytesIO(content), "utf-8", errors="surrogateescape")
        clock = Clock()
        with Record(folder, SMALL, clock.utc, clock.since_start, KEYS, NoSync()) as record:
            ear = KeyboardEar(typed, io.StringIO(), clock.since_start)
            run(self._task, ear, record, Voice(), NoScreen())
        problems = verify(folder).problems
        if problems:
            raise DataLost(str(problems[0]))
        entries = list(read_entries(folder))
        for turn in replay(self._task, entries):
            if turn.differences:
                raise DataLost(f"entry {turn.event.seq} is replayed otherwise")
        left = len(typed.read().splitlines())
        universal = io.TextIOWrapper(io.BytesIO(content), "utf-8", errors="surrogateescape")
        lines = sum(1 for _ in universal)
        heard = sum(each.kind == "heard" for each in entries)
        if heard < lines - left:
            raise DataLost(f"{lines - left} lines were typed, and {heard} are on the record")
        told = any(each.kind == "not-heard" for each in entries)
        return Verdict.REFUSED if told else Verdict.TAKEN


class Requests(Family):
    """What anybody sends to the port of the board; with a token, which never comes back."""

    name = "board requests"
    token = "a-token-that-nobody-guesses"
    good = (
        "GET {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nCookie: {name}={token}\r\n"
        "User-Agent: any\r\nAccept: */*\r\nConnection: close\r\n\r\n"
    )

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self._failed: list[str] = []
        self._watch = _Watch(self._failed)
        for logger in ("uvicorn.error", "asyncio"):
            logging.getLogger(logger).addHandler(self._watch)
        self._feed = Feed()
        self._feed.publish(view_as_json(at().view))
        # What is not a whole request is waited for, and here not for long.
        self._waits, server.REQUEST_WITHIN_S = server.REQUEST_WITHIN_S, 0.02
        self._bound = bind("127.0.0.1", 0)
        self._address = self._bound.getsockname()
        self._server = server.Server(board_site(self._feed, self.token), self._bound, "board")

    def make(self, random: Random) -> bytes:
        guessed = random.choice(("wrong", "", self.token[:-1], *NASTY))
        token = self.token if random.random() < 0.5 else guessed
        known = ("/", "/board.js", "/board.css", "/events", f"/?token={token}")
        path = random.choice((*known, "/nothing", "//evil", "*"))
        text = self.good.format(path=path, name=f"handsfree-board-{self._address[1]}", token=token)
        if random.random() < 0.5:
            lines = text.split("\r\n")
            where = random.randrange(len(lines) - 2)
            lines[where] = random.choice(
                (
                    "Host: evil.example",
                    "Origin: https://evil.example",
                    "Content-Length: -1",
                    "Content-Length: 99999999999",
                    "Transfer-Encoding: chunked",
                    "Upgrade: websocket",
                    "Expect: 100-continue",
                    f"{random.choice(('POST', 'PUT', 'TRACE', 'CONNECT', 'g'))} / HTTP/1.1",
                    f"GET /?token={random.choice(NASTY)} HTTP/1.1",
                    f"X: {random.choice(NASTY)}",
                    "X: " + "y" * random.choice((100, 20_000, 200_000)),
                    "Cookie: " + "a=b; " * 2000,
                )
            )
            text = "\r\n".join(lines)
        content = text.encode("utf-8", "surrogatepass")
        return bytes_changed(content, random) if random.random() < 0.6 else content

    def use(self, content: bytes, random: Random) -> Verdict:
        first = self._answer(content)
        # What a client does wrong is no traceback of ours, and never keeps others away.
        good = self.good.format(
            path="/", name=f"handsfree-board-{self._address[1]}", token=self.token
        )
        if not self._answer(good.encode()).startswith(b"HTTP/1.1 200"):
            raise DataLost("a reader with the token has no answer any more")
        if self._failed:
            failed, self._failed[:] = self._failed[0], []
            raise RuntimeError(failed)
        if b"HTTP/1.1 2" in first[:20] or b"HTTP/1.1 3" in first[:20]:
            if self.token.encode() not in content and b"HTTP/1.1 2" in first[:20]:
                raise DataLost("the board was read without its token")
            return Verdict.TAKEN
        if b"HTTP/1.1 5" in first[:20]:
            raise RuntimeError(first[:200].decode("latin-1"))
        return Verdict.REFUSED

    def _answer(self, content: bytes) -> bytes:
        with socket.create_connection(self._address, 20) as connection:
            with suppress(ConnectionError):
                connection.sendall(content)
            try:
                return connection.recv(4096)
            except ConnectionError:
                return b""

    def close(self) -> None:
        self._feed.close()
        self._server.close()
        self._bound.close()
        server.REQUEST_WITHIN_S = self._waits
        for logger in ("uvicorn.error", "asyncio"):
            logging.getLogger(logger).removeHandler(self._watch)


class _Watch(logging.Handler):
    """Keeps each error that the server tells of."""

    def __init__(self, failed: list[str]) -> None:
        super().__init__(logging.ERROR)
        self._failed = failed

    def emit(self, record: logging.LogRecord) -> None:
        text = record.getMessage()
        if record.exc_info:
            text += f": {logging.Formatter().formatException(record.exc_info)}"
        self._failed.append(text)


RUNNING = (Records, TypedLines, Requests)
