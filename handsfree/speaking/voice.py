"""The voice: text in, sound out, with the speech engine in a process of its own.

The engine is kept outside because it prints to standard output, ends its whole process when its
data is missing, and may crash or hang in native code. A run must outlive all of these.
"""

import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from handsfree.speaking.built_in import BuiltInEngine
from handsfree.speaking.engine_process import SpeechEngineFailed

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

__all__ = ["Engine", "SpeechEngineFailed", "StartEngine", "Voice"]


class Engine(Protocol):
    """One life of a speech engine; what it raises is its `failed`."""

    @property
    def failed(self) -> type[SpeechEngineFailed]:
        """The error that says how to mend this engine."""

    def render(self, text: str, file: Path) -> None:
        """Have `text` spoken into `file`."""

    def close(self) -> None:
        """End the engine."""


# The arguments: a folder for its files, and the speed in times the usual one.
StartEngine = Callable[[Path, float], Engine]


class Voice:
    """Renders utterances at `rate_hz`, at `speed` times the usual speed.

    Starts the engine when built; raises SpeechEngineFailed if it cannot.
    """

    def __init__(
        self, rate_hz: int, speed: float = 1.0, start: StartEngine = BuiltInEngine
    ) -> None:
        self._rate_hz = rate_hz
        self._speed = speed
        self._start_engine = start
        self._folder = tempfile.TemporaryDirectory(prefix="handsfree-voice-")
        # None: it has failed, and another one could not be started yet.
        self._engine: Engine | None = None
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
            engine = self._render(text, file)
        except SpeechEngineFailed:
            if self._engine is None:
                raise
            self._end()
            engine = self._render(text, file)
        return _read(file, self._rate_hz, engine.failed)

    def close(self) -> None:
        """End the engine and remove its files. Closing twice is safe."""
        self._end()
        self._folder.cleanup()

    def _render(self, text: str, file: Path) -> Engine:
        engine = self._engine or self._start()
        engine.render(text, file)
        return engine

    def _start(self) -> Engine:
        self._engine = self._start_engine(Path(self._folder.name), self._speed)
        return self._engine

    def _end(self) -> None:
        engine, self._engine = self._engine, None
        if engine is not None:
            engine.close()


def _read(file: Path, rate_hz: int, failed: type[SpeechEngineFailed]) -> "npt.NDArray[np.int16]":
    import soundfile
    import soxr

    try:
        samples, engine_rate_hz = soundfile.read(file, dtype="int16")
    except (OSError, soundfile.SoundFileError) as error:
        raise failed(f"it left no readable sound ({error})") from error
    resampled: npt.NDArray[np.int16] = soxr.resample(samples, engine_rate_hz, rate_hz)
    return resampled
