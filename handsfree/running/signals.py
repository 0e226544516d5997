"""A run ends by a signal only where nothing is half done: while it listens, or speaks."""

import signal
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from types import FrameType

_REASONS = {
    signal.SIGINT: "interrupted",
    signal.SIGTERM: "terminated by the system (SIGTERM)",
    signal.SIGHUP: "the terminal has gone (SIGHUP)",
}

Interruptible = Callable[[], AbstractContextManager[None]]


class RunStopped(KeyboardInterrupt):
    """A signal asks the run to end. Like Ctrl-C, nothing that handles errors may hold it up."""


@contextmanager
def ending_by_signals() -> Iterator[None]:
    """Let SIGTERM and SIGHUP end a command as Ctrl-C does, so that it leaves nothing behind.

    Only on the main thread.
    """

    def arrived(number: int, _frame: FrameType | None) -> None:
        raise RunStopped(_REASONS[signal.Signals(number)])

    before = {number: signal.signal(number, arrived) for number in (signal.SIGTERM, signal.SIGHUP)}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


class StopSignals:
    """SIGINT, SIGTERM and SIGHUP, kept until the run can end.

    Between the moments in which it listens or speaks, the run decides and writes; an exception in
    the middle of that could leave an entry on disk that the chain does not know of.
    """

    def __init__(self) -> None:
        self._reason: str | None = None
        self._may_stop = False

    @contextmanager
    def installed(self) -> Iterator[None]:
        """Take the signals within this block, and give them back. Only on the main thread."""
        before = {number: signal.signal(number, self._arrived) for number in _REASONS}
        try:
            yield
        finally:
            for number, handler in before.items():
                signal.signal(number, handler)

    @contextmanager
    def may_stop(self) -> Iterator[None]:
        """Within this block a signal raises RunStopped; one that came before it does so at once."""
        self._may_stop = True
        try:
            if self._reason is not None:
                raise RunStopped(self._reason)
            yield
        finally:
            self._may_stop = False

    def _arrived(self, number: int, _frame: FrameType | None) -> None:
        first = self._reason is None
        self._reason = self._reason or _REASONS[signal.Signals(number)]
        # The second one may come while the block is left; the run is ending by then.
        if self._may_stop and first:
            raise RunStopped(self._reason)
