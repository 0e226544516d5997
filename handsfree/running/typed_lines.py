"""A keyboard beside the microphones: a way on for whoever is not heard."""

import io
import queue
import threading
from typing import TextIO

from handsfree.record.log import Stopwatch
from handsfree.record.marks import NotHeard
from handsfree.running.ears import KeyboardEar
from handsfree.running.parts import KEYBOARD, Utterance
from handsfree.words.phrases import PhraseSet

_NO_GRAMMAR = PhraseSet(())


class TypedLines:
    """Lines that are typed during a run with microphones; the end of them ends nothing.

    They are read in a thread of their own, for reading a line waits until there is one.
    """

    def __init__(self, lines: TextIO, since_start: Stopwatch) -> None:
        """Begin to read `lines`; see `KeyboardEar` for what can be typed."""
        keyboard = KeyboardEar(lines, io.StringIO(), since_start)
        self._typed: queue.SimpleQueue[Utterance | NotHeard] = queue.SimpleQueue()
        self._thread = threading.Thread(target=self._read, args=(keyboard,), daemon=True)
        self._thread.start()

    def next(self) -> Utterance | NotHeard | None:
        """What was typed and not taken yet; None: nothing was."""
        try:
            return self._typed.get_nowait()
        except queue.Empty:
            return None

    def pass_over(self) -> NotHeard | None:
        """What was typed before the tool had finished to speak answers nothing; tell of it."""
        early = False
        while self.next() is not None:
            early = True
        text = "A line that was typed while the tool was speaking: type it again."
        return NotHeard(KEYBOARD, text) if early else None

    def ended(self, timeout_s: float) -> bool:
        """Wait until the last line was read, at most so long; whether it was."""
        self._thread.join(timeout_s)
        return not self._thread.is_alive()

    def _read(self, keyboard: KeyboardEar) -> None:
        while True:
            try:
                typed = keyboard.hear(_NO_GRAMMAR)
            except (OSError, ValueError):  # the terminal has gone, or the stream was closed
                return
            if typed is None:
                return
            self._typed.put(typed)
