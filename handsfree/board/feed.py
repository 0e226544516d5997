"""The latest view, for any number of readers: it never waits for one, and keeps nothing old."""

import asyncio
import threading
from collections.abc import AsyncGenerator
from dataclasses import dataclass, field


@dataclass(eq=False)
class _Reader:
    loop: asyncio.AbstractEventLoop
    awake: asyncio.Event = field(default_factory=asyncio.Event)
    woken: bool = False  # under the lock: a call to wake it is on its way already


@dataclass(frozen=True, slots=True)
class Update:
    """A view to be shown, or only a sign of life."""

    number: int  # of the view, counted from 1
    view: str | None  # JSON; None: nothing is new


class Feed:
    """One writer on any thread, readers on event loops. Latest state wins: there is no queue."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._number = 0
        self._view: str | None = None
        self._closed = False
        self._readers: set[_Reader] = set()

    @property
    def readers(self) -> int:
        """How many are reading now."""
        with self._lock:
            return len(self._readers)

    def publish(self, view: str) -> None:
        """Show `view` from now on. Returns at once, whatever the readers do."""
        with self._lock:
            self._number += 1
            self._view = view
            self._wake_all()

    def close(self) -> None:
        """Let each reader have the last view, and no more."""
        with self._lock:
            self._closed = True
            self._wake_all()

    async def follow(self, beat_s: float) -> AsyncGenerator[Update, None]:
        """The present view at once, then each time the latest; a sign of life after `beat_s`.

        Whoever is slow to ask for the next one misses what was replaced in between.
        """
        reader = _Reader(asyncio.get_running_loop())
        seen = 0
        with self._lock:
            self._readers.add(reader)
        try:
            while True:
                with self._lock:
                    reader.woken = False
                    reader.awake.clear()
                    number, view, closed = self._number, self._view, self._closed
                if number != seen:
                    seen = number
                    yield Update(number, view)
                elif closed:
                    return
                else:
                    try:
                        await asyncio.wait_for(reader.awake.wait(), beat_s)
                    except TimeoutError:
                        yield Update(seen, None)
        finally:
            with self._lock:
                self._readers.discard(reader)

    def _wake_all(self) -> None:
        for reader in self._readers:
            if reader.woken:
                continue
            reader.woken = True
            try:
                reader.loop.call_soon_threadsafe(reader.awake.set)
            except RuntimeError:  # its loop has ended, and the reader with it
                continue
