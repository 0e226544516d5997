"""A speech engine's program: asked line by line on one pipe, heard line by line on the other."""

import contextlib
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Sequence
from typing import BinaryIO, ClassVar

from handsfree.errors import HandsfreeError


class SpeechEngineFailed(HandsfreeError):
    """The speech engine is missing, ended or hangs."""

    called: ClassVar[str] = "The speech engine"
    mended_by: ClassVar[str] = "install handsfree again (it brings pyttsx3 and espeakng-loader)"

    def __init__(self, why: str) -> None:
        super().__init__(f"{self.called} failed: {why}. To mend it, {self.mended_by}.")


class EngineProcess:
    """One life of the program. Where it ends or is late, `failed` is raised."""

    def __init__(
        self,
        module: Sequence[str],
        stderr: BinaryIO | int,
        failed: type[SpeechEngineFailed],
        last_words: Callable[[], str],
    ) -> None:
        """Start `python -m` with the `module` and its arguments.

        `last_words` tells what an ended program wrote for people, or nothing.
        """
        self._failed = failed
        self._last_words = last_words
        self._process = subprocess.Popen(
            [sys.executable, "-m", *module],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=stderr,
            # The child must find what we found, from wherever we were started.
            env=os.environ | {"PYTHONPATH": os.pathsep.join(map(os.path.abspath, sys.path))},
            text=True,
            encoding="utf-8",
            errors="replace",
            # Ctrl-C is for the run, which closes us in good order.
            start_new_session=True,
        )

    def ask(self, line: str) -> None:
        """Send one line."""
        assert self._process.stdin is not None
        try:
            self._process.stdin.write(line + "\n")
            self._process.stdin.flush()
        except OSError as error:
            raise self._ended() from error

    def answer(self, patience_s: float, is_answer: Callable[[str], bool]) -> str:
        """Wait for the first line that is an answer; a program this late hangs and is ended."""
        assert self._process.stdout is not None
        late = threading.Event()

        def kill() -> None:
            late.set()
            self._process.kill()

        # A pipe has no portable read with a time limit: killing a late process ends the read.
        watchdog = threading.Timer(patience_s, kill)
        watchdog.daemon = True
        watchdog.start()
        try:
            line = next(filter(is_answer, iter(self._process.stdout.readline, "")), "")
        finally:
            watchdog.cancel()
        if late.is_set():
            raise self._failed(f"it gave no answer in {patience_s:g} s")
        if not line:
            raise self._ended()
        return line

    def close(self) -> None:
        """End the process, by force if it does not end with its input."""
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        with contextlib.suppress(OSError):  # it ended with a request unread
            self._process.stdin.close()
        try:
            self._process.wait(timeout=1.0)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        self._process.stdout.close()

    def _ended(self) -> SpeechEngineFailed:
        status = self._process.wait()
        return self._failed(self._last_words() or f"its process ended with status {status}")
