"""A voice that has rendered what is likely to be said next."""

import re
import threading
from collections.abc import Iterable
from typing import TYPE_CHECKING, Protocol

from handsfree.speaking.voice import SpeechEngineFailed

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

_SENTENCE_END = re.compile(r"(?<=[.!?])\s+")


class Renders(Protocol):
    """What a voice does; see `Voice`."""

    def render(self, text: str) -> "npt.NDArray[np.int16]":
        """Speak `text` into memory."""

    def close(self) -> None:
        """End the engine."""


def sentences(text: str) -> tuple[str, ...]:
    """`text` in pieces that are rendered and kept each by itself; a lone "..." is none."""
    return tuple(each for each in _SENTENCE_END.split(text.strip()) if any(map(str.isalnum, each)))


class ReadyVoice:
    """Renders ahead in a thread of its own, one sentence at a time.

    What is no longer expected is let go, so that an hour of speech takes no more room than a step.
    """

    def __init__(self, voice: Renders) -> None:
        """The voice is closed with this."""
        self._voice = voice
        self._engine = threading.Lock()  # the engine does one text at a time
        self._changed = threading.Condition()
        self._ready: dict[str, npt.NDArray[np.int16]] = {}
        self._expected: set[str] = set()  # what is kept once it is rendered
        self._wanted: list[str] = []  # what is not rendered yet, next first
        self._asked = 0  # how many texts have to be said now
        self._closed = False
        self._worker = threading.Thread(target=self._work, name="voice-ahead", daemon=True)
        self._worker.start()

    def expect(self, texts: Iterable[str]) -> None:
        """These may be said next, the likeliest first; all else is let go."""
        wanted = list(dict.fromkeys(each for text in texts for each in sentences(text)))
        with self._changed:
            self._expected = set(wanted)
            self._ready = {each: self._ready[each] for each in wanted if each in self._ready}
            self._wanted = [each for each in wanted if each not in self._ready]
            self._changed.notify_all()

    def hurry(self, texts: Iterable[str]) -> None:
        """These are about to be said: render them before all others."""
        first = list(dict.fromkeys(each for text in texts for each in sentences(text)))
        with self._changed:
            self._expected.update(first)
            rest = [each for each in self._wanted if each not in first]
            self._wanted = [each for each in first if each not in self._ready] + rest
            self._changed.notify_all()

    def render(self, sentence: str) -> "npt.NDArray[np.int16]":
        """One sentence, at once where it is ready; raises SpeechEngineFailed."""
        with self._changed:
            self._asked += 1
            self._changed.notify_all()
        try:
            return self._render(sentence)
        finally:
            with self._changed:
                self._asked -= 1
                self._changed.notify_all()

    def _render(self, sentence: str) -> "npt.NDArray[np.int16]":
        ready = self._ready.get(sentence)
        if ready is not None:
            return ready
        with self._engine:
            # It may have become ready while the engine was busy, with just this or another one.
            ready = self._ready.get(sentence)
            if ready is None:
                ready = self._voice.render(sentence)
                with self._changed:
                    if sentence in self._expected:
                        self._ready[sentence] = ready
            return ready

    def close(self) -> None:
        """End the thread and the engine. Closing twice is safe."""
        with self._changed:
            self._closed = True
            self._wanted.clear()
            self._changed.notify_all()
        self._worker.join()
        self._voice.close()

    def _work(self) -> None:
        while True:
            with self._changed:
                # What has to be said now does not wait behind what may have to be said later.
                self._changed.wait_for(lambda: self._closed or (self._wanted and not self._asked))
                if self._closed:
                    return
                sentence = self._wanted.pop(0)
            try:
                self._render(sentence)
            except SpeechEngineFailed:
                # It is met again, and told of, when this has to be said.
                with self._changed:
                    self._wanted.clear()
