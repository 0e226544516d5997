"""The voice: text in, sound out, with the speech engine in a process of its own.

The engine is kept outside because it prints to standard output, ends its whole process when its
data is missing, and may crash or hang in native code. A run must outlive all of these.
"""

import contextlib
import json
import os
import subprocess
import sys
import tempfile
import threading
from pathlib import Path
from typing import TYPE_CHECKING

from handsfree.errors import HandsfreeError

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

PATIENCE_S = 20.0  # a long warning renders in under 0.1 s; a process this late hangs


class SpeechEngineFailed(HandsfreeError):
    """The speech engine is missing, ended or hangs."""

    def __init__(self, why: str) -> None:
        super().__init__(
            f"The speech engine failed: {why}. To mend it, install handsfree again "
            "(it brings pyttsx3 and espeakng-loader)."
        )


class Voice:
    """Renders utterances at `rate_hz`, at `speed` times the usual speed.

    Starts the engine when built; raises SpeechEngineFailed if it cannot.
    """

    def __init__(self, rate_hz: int, speed: float = 1.0) -> None:
        self._rate_hz = rate_hz
        self._speed = speed
        self._folder = tempfile.TemporaryDirectory(prefix="handsfree-voice-")
        # None: it has failed, and another one could not be started yet.
        self._engine: _EngineProcess | None = None
        try:
            self._start()
        except SpeechEngineFailed:
            self._folder.cleanup()
            raise

    def render(self, text: str) -> "npt.NDArray[np.int16]":
        """Speak `text`, which must not be blank, into memory: mono, shape (n,).

        An engine that fails is replaced once. Raises SpeechEngineFailed if the new one fails too.
        """
        file = Path(self._folder.name) / "utterance.wav"
        file.unlink(missing_ok=True)
        try:
            self._render(text, file)
        except SpeechEngineFailed:
            if self._engine is None:
                raise
            self._end()
            self._render(text, file)
        return _read(file, self._rate_hz)

    def close(self) -> None:
        """End the engine and remove its files. Closing twice is safe."""
        self._end()
        self._folder.cleanup()

    def _render(self, text: str, file: Path) -> None:
        engine = self._engine or self._start()
        engine.render(text, file)

    def _start(self) -> "_EngineProcess":
        self._engine = _EngineProcess(Path(self._folder.name), self._speed)
        return self._engine

    def _end(self) -> None:
        engine, self._engine = self._engine, None
        if engine is not None:
            engine.close()


class _EngineProcess:
    """One life of `voice_process`."""

    def __init__(self, folder: Path, speed: float) -> None:
        self._stderr = folder / "stderr.txt"
        with self._stderr.open("wb") as stderr:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "handsfree.speaking.voice_process", str(speed)],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=stderr,
                # The child must find what we found, from wherever we were started.
                env=os.environ | {"PYTHONPATH": os.pathsep.join(map(os.path.abspath, sys.path))},
                text=True,
                encoding="utf-8",
                # Ctrl-C is for the run, which closes us in good order.
                start_new_session=True,
            )
        try:
            self._expect("ready")
        except SpeechEngineFailed:
            self.close()
            raise

    def render(self, text: str, file: Path) -> None:
        """Have `text` spoken into `file`; raises SpeechEngineFailed."""
        assert self._process.stdin is not None
        try:
            self._process.stdin.write(json.dumps({"text": text, "file": str(file)}) + "\n")
            self._process.stdin.flush()
        except OSError as error:
            raise self._failed() from error
        self._expect("finished")

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

    def _expect(self, fact: str) -> None:
        assert self._process.stdout is not None
        late = threading.Event()

        def kill() -> None:
            late.set()
            self._process.kill()

        # A pipe has no portable read with a time limit: killing a late process ends the read.
        watchdog = threading.Timer(PATIENCE_S, kill)
        watchdog.daemon = True
        watchdog.start()
        try:
            reply = self._process.stdout.readline()
        finally:
            watchdog.cancel()
        if late.is_set():
            raise SpeechEngineFailed(f"it gave no answer in {PATIENCE_S:g} s")
        if not reply:
            raise self._failed()
        if json.loads(reply) != {fact: True}:
            raise SpeechEngineFailed(self._last_words() or "it did not finish an utterance")

    def _failed(self) -> SpeechEngineFailed:
        """Explain the end of the process."""
        status = self._process.wait()
        return SpeechEngineFailed(self._last_words() or f"its process ended with status {status}")

    def _last_words(self) -> str:
        """Return the last line that the process wrote for people, without its full stop."""
        lines = [
            line.strip()
            for line in self._stderr.read_text(encoding="utf-8", errors="replace").splitlines()
            if line.strip() and not line.startswith("Audio saved to ")
        ]
        return lines[-1].rstrip(".") if lines else ""


def _read(file: Path, rate_hz: int) -> "npt.NDArray[np.int16]":
    # macOS writes AIFF under any name; soundfile looks at the content.
    import soundfile
    import soxr

    try:
        samples, engine_rate_hz = soundfile.read(file, dtype="int16")
    except (OSError, soundfile.SoundFileError) as error:
        raise SpeechEngineFailed(f"it left no readable sound ({error})") from error
    resampled: npt.NDArray[np.int16] = soxr.resample(samples, engine_rate_hz, rate_hz)
    return resampled
